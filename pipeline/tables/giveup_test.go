package tables

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestColumnsGivenUpReadAsEmpty(t *testing.T) {
	p := NewPack(Of[Cast]())
	const n = packRows + 10
	for i := range n {
		p.PutText(0, fmt.Sprint("a", i%7, "b", i))
		p.PutText(3, fmt.Sprint("M", i%2000))
		p.PutNumber(5, float64(i%61)/2)
		p.PutList(6, []float64{float64(i%300) / 100})
		p.PutNumber(10, float64(i%9))
		p.Next(Origin{Row: int32(i + 2)}, 0)
	}
	p.Forget()
	f, before := FrameOfPack[Cast](p), p.Bytes()
	want := f.Row(packRows + 3)
	f.GiveUp("cast", "room_temperature", "note")
	require.Less(t, p.Bytes(), before-10*n, "a text of its own in each row took most")
	got := f.Row(packRows + 3)
	require.Empty(t, got.Cast)
	require.False(t, Has(got.RoomC))
	require.Equal(t, []any{want.Mold, want.DwellMin, want.WallsMM, want.Origin}, []any{got.Mold, got.DwellMin, got.WallsMM, got.Origin})
	require.False(t, Has(f.NumberAt("room_temperature")(5)))

	small := FrameOf(Cast{Cast: "7"})
	small.GiveUp("cast")
	require.Equal(t, "7", small.Row(0).Cast)
}
