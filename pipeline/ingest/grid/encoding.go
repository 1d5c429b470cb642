package grid

import (
	"bytes"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decodeText turns a text file into UTF-8. A byte order mark states the
// encoding; without one, zero bytes in every second place are UTF-16, valid
// UTF-8 is UTF-8, and what is left is taken for the old Western encoding,
// Windows-1252. assumed names the encoding where nothing stated it. why says
// that the bytes are no text.
func decodeText(data []byte) (text []byte, assumed, why string) {
	little := unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	big := unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	switch {
	case bytes.HasPrefix(data, zipMark) && bytes.HasPrefix(data[2:], []byte{3, 4}), bytes.HasPrefix(data, oleMark):
		return nil, "", "this is a workbook or an archive under the name of a text file"
	case bytes.HasPrefix(data, []byte{0xef, 0xbb, 0xbf}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		return decodeWith(little, data[2:], "")
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return decodeWith(big, data[2:], "")
	case zerosAt(data, 1):
		return decodeWith(little, data, "UTF-16")
	case zerosAt(data, 0):
		return decodeWith(big, data, "UTF-16")
	}
	switch {
	case bytes.IndexByte(data, 0) >= 0:
		return nil, "", "this is not a text file, whatever its name says"
	case utf8.Valid(data):
		return data, "", ""
	}
	return decodeWith(charmap.Windows1252, data, "Windows-1252")
}

func decodeWith(e encoding.Encoding, data []byte, assumed string) ([]byte, string, string) {
	text, err := e.NewDecoder().Bytes(data)
	if err != nil || bytes.IndexByte(text, 0) >= 0 {
		return nil, "", "this is not a text file, whatever its name says"
	}
	return text, assumed, ""
}

// zerosAt reports whether most of the first bytes at even (0) or odd (1)
// places are zero and hardly any of the others, as in UTF-16 of Western text.
func zerosAt(data []byte, odd int) bool {
	head := data[:min(len(data), 2000)]
	zeros := [2]int{}
	for i, c := range head {
		if c == 0 {
			zeros[i%2]++
		}
	}
	return len(head) >= 4 && zeros[odd]*10 > len(head)*3 && zeros[1-odd]*50 < len(head)
}
