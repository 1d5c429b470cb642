package plaster

import (
	"strings"

	"moldwright/pipeline/tables"
)

// Today is what making molds costs on a day; absent where the price list does
// not tell.
type Today struct {
	PlasterPerKg  float64
	WaterPerKg    float64
	LabourPerHour float64
	LabourPerMold float64 // where labour is priced by the mold
}

// PricesOn reads the price list as far as it holds on a day.
func PricesOn(s tables.Studio, day tables.Date, set Settings) Today {
	none := tables.Absent()
	out := Today{PlasterPerKg: none, WaterPerKg: none, LabourPerHour: none, LabourPerMold: none}
	quiet := &problemList{blocks: s.Blocks} // Run has told them
	list := readPrices(s, day, set, quiet)
	if p, ok := list.at(day); ok {
		out.PlasterPerKg = p.perKg
	}
	latest := map[string]tables.Date{}
	for _, p := range s.Prices.Rows() {
		item := fold(p.Item)
		if since, seen := latest[item]; p.From.Valid() && p.From > day || seen && p.From < since || !(p.Price >= 0) {
			continue
		}
		latest[item] = p.From
		unit := strings.TrimPrefix(fold(p.Unit), "per ")
		switch item {
		case "water":
			switch unit {
			case "l", "liter", "litre", "kg":
				out.WaterPerKg = p.Price
			case "m3", "m³":
				out.WaterPerKg = p.Price / 1000
			}
		case "labour":
			if strings.TrimSuffix(unit, "s") == "mold" || strings.TrimSuffix(unit, "s") == "pour" {
				out.LabourPerHour, out.LabourPerMold = none, p.Price
			} else if cost := labourOfMold(p, quiet); tables.Has(cost) {
				out.LabourPerHour, out.LabourPerMold = cost/hoursPerMold, none
			}
		}
	}
	return out
}
