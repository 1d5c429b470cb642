package ingest

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/grid"
)

func TestARowWithoutAFateBreaksTheAccount(t *testing.T) {
	s := grid.Of(true, []string{"Title"}, []string{"a"}, []string{"b"})
	a := newAccount(0, 0, s)
	l := a.open(&block{from: 1, to: 3, sheet: s}, s)
	l.fates[0] = used
	var sheet Sheet
	err := a.fill(&sheet)
	var broken *AccountError
	require.True(t, errors.As(err, &broken), "%v", err)
	require.Equal(t, AccountError{Read: 3, Used: 1, NoData: 1}, *broken)

	l.fates[1] = aside
	require.NoError(t, a.fill(&sheet))
	require.Equal(t, []int{3, 1, 1, 1}, []int{sheet.RowsRead, sheet.RowsUsed, sheet.RowsAside, sheet.RowsNoData})
}
