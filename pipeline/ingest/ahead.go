package ingest

import (
	"context"
	"crypto/sha256"
	"os"
	"runtime"

	"moldwright/pipeline/ingest/grid"
)

// smallFile is the size, in bytes, up to which a file is opened before its turn: so
// little stays in memory however many files wait.
const smallFile = 1 << 20

// contents are a file's sheets and the sum of its bytes, or why it cannot be used.
type contents struct {
	book   grid.Book
	hash   [sha256.Size]byte
	size   int64
	why    string // why the file was not read, "" if it was
	err    error
	failed any // what opening it panicked with
}

// contentsOf loads a file as a whole and parts it into sheets.
func contentsOf(ctx context.Context, src Source) contents {
	data, why := load(src)
	if why != "" {
		return contents{why: why}
	}
	sum := make(chan [sha256.Size]byte, 1)
	go func() { sum <- sha256.Sum256(data) }()
	b, err := grid.Open(ctx, src.Path, data, columnsKnown)
	return contents{book: b, hash: <-sum, size: int64(len(data)), err: err}
}

// ahead opens small files on other cores while the ones before them are read. What is
// read of a file knows of no other, so that this changes no answer.
type ahead struct {
	sources []Source
	waiting []chan contents // beside the sources; nil where a file waits for its turn
	begun   int
	stop    context.CancelFunc
	opening context.Context
}

func newAhead(ctx context.Context, sources []Source) *ahead {
	a := &ahead{sources: sources, waiting: make([]chan contents, len(sources))}
	a.opening, a.stop = context.WithCancel(ctx)
	return a
}

// contents are those of source i, which must be asked for in order. It begins with
// as many of the following as there are other cores.
func (a *ahead) contents(ctx context.Context, i int) contents {
	for ; a.begun < min(len(a.sources), i+runtime.GOMAXPROCS(0)); a.begun++ {
		if a.begun >= i {
			a.begin(a.begun)
		}
	}
	if a.waiting[i] == nil {
		return contentsOf(ctx, a.sources[i])
	}
	c := <-a.waiting[i]
	a.waiting[i] = nil
	if c.failed != nil {
		panic(c.failed)
	}
	return c
}

func (a *ahead) begin(i int) {
	src := a.sources[i]
	info, err := os.Stat(src.Path)
	if err != nil || !info.Mode().IsRegular() || info.Size() > smallFile || grid.IsColumnar(src.Path) || src.formerRun || src.refusal != "" {
		return
	}
	given := make(chan contents, 1)
	a.waiting[i] = given
	go func() {
		var c contents
		defer func() {
			c.failed = recover()
			given <- c
		}()
		c = contentsOf(a.opening, src)
	}()
}

// end waits until no file is being opened.
func (a *ahead) end() {
	a.stop()
	for _, w := range a.waiting {
		if w != nil {
			<-w
		}
	}
}
