package grid

import (
	"math"
	"testing"

	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/stretchr/testify/require"
)

func TestClaimsOfSizeAreHeldAgainstTheFile(t *testing.T) {
	c := &columnar{size: 100 << 20}
	require.NoError(t, c.claim(36_000_000, 17))
	require.ErrorContains(t, c.claim(-1, 3), "damaged")
	require.ErrorContains(t, c.claim(10, MaxColumns+1), "16384 columns")
	require.ErrorContains(t, c.claim(MaxLines, 1), "rows")
	require.ErrorContains(t, c.claim(MaxLines-1, 100), "far more cells")
}

func TestNoMoreIsHeldDecodedThanTheLimit(t *testing.T) {
	b := &bounded{under: memory.NewGoAllocator(), most: 1000}
	held := b.Allocate(600)
	require.ErrorContains(t, guarded(func() error { b.Allocate(500); return nil }), "2 GiB")
	held = b.Reallocate(300, held)
	b.Free(b.Allocate(500))
	b.Free(held)
	require.Zero(t, b.held)
	require.ErrorContains(t, guarded(func() error { b.Allocate(math.MinInt); return nil }), "damaged")
}

func TestTextsThatComeOnceAreKept(t *testing.T) {
	var o onceTexts
	var want []string
	long := string(make([]byte, onceLongest+1))
	for i := range 30_000 {
		s := typed{kind: IsNumber, values: []float64{0, float64(i) + 0.5}}
		text := s.text(1)
		if i%5000 == 7 {
			text = long
		}
		o.add(text)
		want = append(want, text)
	}
	for i, s := range want {
		require.Equal(t, s, o.text(uint32(i)))
	}
}

func TestTypedValuesAreWrittenAsPeopleDo(t *testing.T) {
	for want, v := range map[string]Value{
		"2025-03-14": {IsDay, 20161}, "2025-03-14 08:30:00": {IsMoment, 20161*86400 + 8.5*3600}, "8:05": {IsClock, 485}, "8:05:30": {IsClock, 485.5},
		"22 min": {IsSpan, 22}, "true": {IsTruth, 1}, "false": {IsTruth, 0}, "7": {IsNumber, 7}, "4.25": {IsNumber, 4.25},
	} {
		c := newTyped(v.Kind)
		require.Equal(t, want, c.text(c.typed.code(v.Number)))
	}
	short := newTyped(IsNumber)
	short.typed.short = true
	require.Equal(t, "4.6", short.text(short.typed.code(float64(float32(4.6)))))
}
