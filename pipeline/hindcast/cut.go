package hindcast

import (
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// origins are past dates spread evenly over the casts from the first share of
// them on; the last is before the last day of casting. A long log has fewer, so
// that the whole stays quick.
func origins(log history.Log, set Settings) []tables.Date {
	var dates, measured []tables.Date
	for _, c := range log.Casts {
		if !c.Date.Valid() {
			continue
		}
		dates = append(dates, c.Date)
		if c.WallMM > 0 && c.DwellMin > 0 {
			measured = append(measured, c.Date)
		}
	}
	slices.Sort(dates)
	slices.Sort(measured)
	var out []tables.Date
	n := set.Origins
	if each := (1 + set.First) / 2 * float64(len(measured)); each > 0 {
		n = min(n, max(set.LeastDates, int(float64(set.MostCasts)/each)))
	}
	for k := range n {
		share := set.First + (1-set.First)*float64(k)/float64(n)
		i := int(share * float64(len(dates)))
		if i >= len(dates) {
			break
		}
		d := dates[i]
		known, _ := slices.BinarySearch(measured, d+1)
		if known >= set.LeastCasts && d < dates[len(dates)-1] && !slices.Contains(out, d) {
			out = append(out, d)
		}
	}
	return out
}

// listed are the rows of a studio's molds that are of a log.
func listed(s tables.Studio, log history.Log) []tables.Mold {
	of := make(map[string]bool, len(log.Molds))
	for _, mold := range log.Molds {
		of[history.Fold(mold.Mold)] = true
	}
	var out []tables.Mold
	for _, m := range s.Molds.Rows() {
		if of[history.Fold(m.Mold)] {
			out = append(out, m)
		}
	}
	return out
}

// knownOf is known, of the molds' rows that are of the log.
func knownOf(s tables.Studio, log history.Log, rowsOfMolds []tables.Mold, at tables.Date) tables.Studio {
	last := map[string]tables.Date{}
	first := map[string]tables.Date{}
	var rows []int
	for _, mold := range log.Molds {
		name := history.Fold(mold.Mold)
		for i, c := range log.Casts[mold.First:mold.Last] {
			if i == 0 {
				first[name], last[name] = c.Date, c.Date
			}
			first[name], last[name] = min(first[name], c.Date), max(last[name], c.Date)
			if c.Date.Valid() && c.Date <= at {
				rows = append(rows, int(c.Row))
			}
		}
	}
	slices.Sort(rows)
	casts := make([]tables.Cast, len(rows))
	for i, row := range rows {
		casts[i] = s.Casts.Row(row)
	}
	var molds []tables.Mold
	for _, m := range rowsOfMolds {
		name := history.Fold(m.Mold)
		begun, isCast := first[name]
		if (m.InService.Valid() && m.InService > at) && !(isCast && begun <= at) || !m.InService.Valid() && isCast && begun > at {
			continue
		}
		if over := m.EndReason != "" || m.Status == history.StatusRetired || m.Status == history.StatusBroken; over && !m.EndedOn.Valid() && isCast {
			m.EndedOn = last[name]
		}
		if m.EndedOn.Valid() && m.EndedOn > at {
			m.Status, m.EndReason, m.EndedOn = history.StatusInUse, "", tables.NoDate
		}
		molds = append(molds, m)
	}
	out := s
	out.Casts, out.Molds = tables.FrameOf(casts...), tables.FrameOf(molds...)
	return out
}
