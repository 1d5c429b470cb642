package history

import (
	"fmt"
	"testing"

	"moldwright/pipeline/tables"
)

// BenchmarkBuild builds the log of 2,000 molds at most from a packed table, as
// reading leaves it.
func BenchmarkBuild(b *testing.B) {
	for _, n := range []int{10_000, 100_000, 1_000_000} {
		t := tables.Of[tables.Cast]()
		p := tables.NewPack(t)
		place := map[string]int{}
		for i, c := range t.Columns {
			place[c.Name] = i
		}
		for i := range n {
			p.PutWhole(place["date"], int32(tables.MakeDate(2020, 1, 1))+int32(i/4000))
			p.PutNumber(place["time"], float64(420+i%4000/8))
			p.PutText(place["mold"], fmt.Sprint("M", i%2000))
			p.PutText(place["slip"], fmt.Sprint("S", i/4000))
			p.PutNumber(place["dwell"], float64(30+i%17)/2)
			p.PutList(place["wall"], []float64{float64(400+i%90) / 100, float64(400+i%80) / 100})
			p.PutText(place["result"], "good")
			p.Next(tables.Origin{Row: int32(i + 2)}, 0)
		}
		s := tables.Studio{Casts: tables.FrameOfPack[tables.Cast](p)}
		b.Run(fmt.Sprintf("casts=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if log, _ := Build(s, tables.NoDate); len(log.Casts) != n {
					b.Fatal(len(log.Casts))
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/cast")
		})
	}
}
