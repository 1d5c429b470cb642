// Pictures takes the charts that README shows out of a demo report, in few
// enough colours to be small, or with -check compares those on file with it.
//
// Usage: go run ./.ci/pictures [-check] DEMO-REPORT
package main

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"log"
	"os"
	"path/filepath"
	"slices"
)

func main() {
	log.SetFlags(0)
	check := flag.Bool("check", false, "compare only")
	flag.Parse()
	if flag.NArg() != 1 {
		log.Fatal("usage: pictures [-check] DEMO-REPORT")
	}
	stale := false
	for _, name := range []string{"remaining_casts.png", "watch_list.png", "waste_by_cause.png"} {
		small, err := smaller(filepath.Join(flag.Arg(0), "charts", name))
		if err != nil {
			log.Fatal("pictures: ", err)
		}
		on := filepath.Join("reports", "pictures", name)
		if !*check {
			if err := os.WriteFile(on, small, 0o644); err != nil {
				log.Fatal("pictures: ", err)
			}
			continue
		}
		if had, err := os.ReadFile(on); err != nil || !bytes.Equal(had, small) {
			stale = true
			log.Printf("%s is not the demo's chart any more: go run ./.ci/pictures DEMO-REPORT", on)
		}
	}
	if stale {
		os.Exit(1)
	}
}

// smaller is the picture in its 64 most frequent colours.
func smaller(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	full, err := png.Decode(f)
	if err != nil {
		return nil, err
	}
	counts := map[color.RGBA]int{}
	b := full.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			counts[color.RGBAModel.Convert(full.At(x, y)).(color.RGBA)]++
		}
	}
	var colours []color.RGBA
	for c := range counts {
		colours = append(colours, c)
	}
	slices.SortFunc(colours, func(p, q color.RGBA) int {
		if d := counts[q] - counts[p]; d != 0 {
			return d
		}
		return int(p.R)<<16 + int(p.G)<<8 + int(p.B) - int(q.R)<<16 - int(q.G)<<8 - int(q.B)
	})
	var palette color.Palette
	for _, c := range colours[:min(len(colours), 64)] {
		palette = append(palette, c)
	}
	few := image.NewPaletted(b, palette)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			few.Set(x, y, full.At(x, y))
		}
	}
	var out bytes.Buffer
	err = (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, few)
	return out.Bytes(), err
}
