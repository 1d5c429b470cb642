package grid

import (
	"context"
	"path/filepath"
	"strings"
)

// Open reads the bytes of a file, by its name a text file or a workbook. What
// the bytes can cause is in the book; the error is for a cancelled context and
// for a machine that has no room.
func Open(ctx context.Context, path string, data []byte, score Score) (Book, error) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv", ".tsv":
		return ReadCSV(ctx, path, data, score)
	}
	return ReadWorkbook(ctx, data)
}
