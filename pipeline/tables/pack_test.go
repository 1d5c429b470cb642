package tables

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// packedCast draws a cast; some columns repeat, some hardly, some are mostly absent.
func packedCast(rng *rand.Rand, i int, sort int) Cast {
	no := Absent()
	c := Cast{
		Origin: Origin{Block: int32(i / 30_000), Row: int32(2 + i + i/1000)}, Cast: fmt.Sprintf("C%05d", i+1),
		Date: MakeDate(2020, 1, 1) + Date(rng.IntN(3000)), TimeMin: float64(rng.IntN(1440)), Mold: fmt.Sprint("M", rng.IntN(300)), Slip: fmt.Sprint("S", rng.IntN(70_000)),
		DwellMin: rng.Float64(), WallsMM: []float64{float64(rng.IntN(90)) / 10, rng.Float64()}, WallBasis: WallWet,
		DemoldMin: no, MoldMassKg: no, RoomC: no, RoomHumidity: no, Age: NoCount,
	}
	switch sort {
	case 1:
		c.Cast, c.Date, c.WallsMM = "", NoDate, nil
	case 2:
		c.Cast, c.WallsMM, c.Note = fmt.Sprintf("%d/é", i), make([]float64, rng.IntN(12)), "note"
		for k := range c.WallsMM {
			c.WallsMM[k] = float64(k)
		}
		if len(c.WallsMM) == 0 {
			c.WallsMM = nil
		}
	case 3:
		c.Age, c.RoomC, c.Result = Count(rng.IntN(1<<30)), float64(float32(rng.Float64())), "good"
	}
	return c
}

func TestAColumnIsAbsentWhereNoRowHasIt(t *testing.T) {
	for _, n := range []int{0, 5, packRows + 5} {
		rng := rand.New(rand.NewPCG(1, uint64(n)))
		casts := make([]Cast, n)
		for i := range casts {
			casts[i] = packedCast(rng, i, 0)
		}
		p := NewPack(Of[Cast]())
		fillPack(p, casts)
		for _, f := range []Frame[Cast]{FrameOfPack[Cast](p), FrameOf(casts...)} {
			for _, column := range []string{"cast", "date", "time", "mold", "wall"} {
				require.Equal(t, n == 0, f.Absent(column), column)
			}
			for _, column := range []string{"demold", "note", "age", "form", "result"} {
				require.True(t, f.Absent(column), column)
			}
		}
	}
}

func fillPack(p *Pack, casts []Cast) {
	for i := range casts {
		c := &casts[i]
		for k, x := range []string{c.Cast, "", "", c.Mold, c.Slip} {
			if x != "" {
				p.PutText(k, x)
			}
		}
		p.PutWhole(1, int32(c.Date))
		p.PutNumber(2, c.TimeMin)
		p.PutNumber(5, c.DwellMin)
		p.PutList(6, c.WallsMM)
		p.PutText(7, c.WallBasis)
		p.PutNumber(10, c.RoomC)
		p.PutText(12, c.Result)
		p.PutText(14, c.Note)
		p.PutWhole(15, int32(c.Age))
		p.Next(c.Origin, uint64(i%3))
	}
}

// TestAPackGivesBackWhatWasPut compares rows with what was put, filled at once
// and in parts of odd sizes, over the borders of closed pieces.
func TestAPackGivesBackWhatWasPut(t *testing.T) {
	for _, n := range []int{0, 1, 700, packRows, packRows + 20_000} {
		rng := rand.New(rand.NewPCG(uint64(n), 3))
		casts := make([]Cast, n)
		for i := range casts {
			sort := 0
			if rng.IntN(20) == 0 || i > packRows && i < packRows+2000 {
				sort = 1 + rng.IntN(3)
			}
			casts[i] = packedCast(rng, i, sort)
		}
		whole, parted := NewPack(Of[Cast]()), NewPack(Of[Cast]())
		fillPack(whole, casts)
		for from := 0; from < n; {
			to := min(n, from+1+rng.IntN(40_000))
			part := parted.NewPart()
			fillPack(part, casts[from:to])
			parted.Append(part)
			from = to
		}
		for _, p := range []*Pack{whole, parted} {
			require.Equal(t, n, p.Len())
			f := FrameOfPack[Cast](p)
			for i := range casts {
				if want, got := fmt.Sprintf("%+v", casts[i]), fmt.Sprintf("%+v", f.Row(i)); want != got {
					t.Fatalf("row %d of %d:\n%s\n%s", i, n, want, got)
				}
			}
		}
		if n > 0 {
			odd := whole.Without(func(row int) bool { return row%2 == 0 })
			require.Equal(t, n/2, odd.Len())
			for row := range odd.Len() {
				require.Equal(t, casts[2*row+1].Mold, odd.Text(3, row))
				require.Equal(t, casts[2*row+1].Origin, odd.Origin(row))
			}
		}
	}
}

func TestNumbersOfCastsTakeFourBytes(t *testing.T) {
	for _, format := range []string{"%d", "C-%07d", "25/%09d"} {
		p := NewPack(Of[Cast]())
		for i := range packRows {
			p.PutText(0, fmt.Sprintf(format, i+90_000))
			p.Next(Origin{Row: int32(i + 2)}, 0)
		}
		require.True(t, p.Rising(0), format)
		p.Forget()
		require.Less(t, p.Bytes(), 4*packRows+1000)
		require.Len(t, p.columns[0].loose.closed[0].nums, packRows)
		require.Equal(t, fmt.Sprintf(format, 90_007), p.Text(0, 7))
	}
	for _, texts := range [][]string{{"A1", "A01"}, {"1", "x"}, {"A1", "B1"}, {"007", "8"}, {"9999999999"}, {"10", "9", "08"}} {
		p, ok := numbered(texts)
		for i, s := range texts {
			require.False(t, ok && p.at(i) != s, texts)
		}
	}
}

// A factory's log of date, time, mold, slip, dwell, two walls and result.
func TestAPackOfAFactoryIsSmall(t *testing.T) {
	p := NewPack(Of[Cast]())
	const n = 4 * packRows
	for i := range n {
		p.PutText(0, fmt.Sprint(i+1))
		p.PutWhole(1, int32(MakeDate(2020, 1, 1))+int32(i/100))
		p.PutNumber(2, float64(i%900))
		p.PutText(3, fmt.Sprint("M", i%2000))
		p.PutText(4, fmt.Sprint("S", i/500))
		p.PutNumber(5, float64(i%61)/2)
		p.PutList(6, []float64{float64(i%300) / 100, float64(i%311) / 100})
		p.PutText(12, "good")
		p.Next(Origin{Row: int32(i + 2)}, 0)
	}
	p.Forget()
	require.Less(t, float64(p.Bytes())/n, 24.0, "bytes a cast, beside 40 of the log")
}

// TestManyRowsAreReadAsEachIs holds that reading a column in one go gives what reading
// it row by row does, over borders of pieces and from any row on.
func TestManyRowsAreReadAsEachIs(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 3))
	n := packRows + 3000
	casts := make([]Cast, n)
	for i := range casts {
		sort := 0
		if rng.IntN(20) == 0 {
			sort = 1 + rng.IntN(3)
		}
		casts[i] = packedCast(rng, i, sort)
	}
	p := NewPack(Of[Cast]())
	fillPack(p, casts)
	for _, f := range []Frame[Cast]{FrameOfPack[Cast](p), FrameOf(casts...)} {
		slips, slip := f.NamesFrom("slip")
		results, result := f.NamesFrom("result")
		for _, from := range []int{0, 1, 700, packRows - 500, packRows + 10, n - 900} {
			m := 900
			days, times, dwells, rooms, walls, codes, words := make([]Date, m), make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m), make([]uint32, m), make([]uint32, m)
			f.DatesFrom("date")(from, days)
			f.NumbersFrom("time")(from, times)
			f.NumbersFrom("dwell")(from, dwells)
			f.NumbersFrom("room_temperature")(from, rooms)
			f.MeansFrom("wall")(from, walls)
			slip(from, codes)
			result(from, words)
			for i := range m {
				c := casts[from+i]
				got := fmt.Sprint(days[i], times[i], dwells[i], rooms[i], walls[i], slips[codes[i]], results[words[i]])
				require.Equal(t, fmt.Sprint(c.Date, c.TimeMin, c.DwellMin, c.RoomC, c.WallMM(), c.Slip, c.Result), got, "row %d", from+i)
			}
		}
		f.Release()
	}
}

// TestCodedValuesAreThoseOfTheirRows fills columns by codes, in portions of odd sizes,
// and compares them with rows that were put one by one.
func TestCodedValuesAreThoseOfTheirRows(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	molds, dwells, dates := []string{"", "A", "B", "C"}, []float64{Absent(), 20, 25.5}, []int32{int32(NoDate), 17000, 17500, 90000}
	walls := []*Coded{{Numbers: []float64{Absent(), 4, 5, Absent()}, Lists: [][]float64{nil, nil, nil, {1, 2, 3}}}, {Numbers: []float64{Absent(), 6, 7}}}
	for range 80_000 { // more than are kept by code
		dwells = append(dwells, rng.Float64())
	}
	want, got := NewPack(Of[Cast]()), NewPack(Of[Cast]())
	for _, p := range []*Pack{want, got} {
		p.PutText(3, "first")
		p.Next(Origin{0, 2}, 0)
	}
	n := packRows + 30_000
	codes := make([][]uint32, 5)
	var numbers []int32
	for i := range n {
		row := []uint32{uint32(rng.IntN(4)), uint32(rng.IntN(3)), uint32(rng.IntN(4)), uint32(rng.IntN(4)), uint32(rng.IntN(3))}
		if i > packRows/2 {
			row[1] = uint32(rng.IntN(len(dwells)))
		}
		for k := range codes {
			codes[k] = append(codes[k], row[k])
		}
		numbers = append(numbers, int32(3+i+i/1000))
		want.PutText(3, molds[row[0]])
		want.PutNumber(5, dwells[row[1]])
		want.PutWhole(1, dates[row[2]])
		var xs []float64
		for k, v := range walls {
			if x := v.Numbers[row[3+k]]; Has(x) {
				xs = append(xs, x)
			} else if v.Lists != nil {
				xs = append(xs, v.Lists[row[3+k]]...)
			}
		}
		want.PutList(6, xs)
		want.PutText(14, molds[row[0]])
		want.Next(Origin{1, numbers[i]}, 0)
	}
	portions := func(put func(from, to int)) {
		for from := 0; from < n; {
			to := min(n, from+1+rng.IntN(9000))
			put(from, to)
			from = to
		}
	}
	mold, dwell, date, wall, note := got.Filling(3, n), got.Filling(5, n), got.Filling(1, n), got.Filling(6, n), got.Filling(14, n)
	ofMold, ofDwell, ofDate := &Coded{Texts: molds}, &Coded{Numbers: dwells}, &Coded{Wholes: dates}
	portions(func(from, to int) { mold.Put(codes[0][from:to], ofMold) })
	portions(func(from, to int) { dwell.Put(codes[1][from:to], ofDwell) })
	portions(func(from, to int) { date.Put(codes[2][from:to], ofDate) })
	portions(func(from, to int) {
		wall.PutReadings([][]uint32{codes[3][from:to], codes[4][from:to]}, walls)
	})
	portions(func(from, to int) { note.Put(codes[0][from:to], ofMold) })
	portions(func(from, to int) { got.Filled(1, numbers[from:to], nil) })
	a, b := FrameOfPack[Cast](want), FrameOfPack[Cast](got)
	require.Equal(t, a.Len(), b.Len())
	for i := 0; i < a.Len(); i += 1 + i%17 {
		if x, y := fmt.Sprint(a.Row(i)), fmt.Sprint(b.Row(i)); x != y {
			t.Fatalf("row %d: %s, want %s", i, y, x)
		}
	}
	require.Equal(t, want.Names(3), got.Names(3))
}
