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

// known is the studio as its sheets stood at a date: casts up to it, molds in
// service by then, ends that had happened. Forms, and what was measured of a
// batch of slip when it was mixed, are taken as known: both come before the cast.
// An end without a date is taken to have come with the mold's last cast. The
// caller releases it.
func known(s tables.Studio, log history.Log, at tables.Date) tables.Studio {
	last := map[string]tables.Date{}
	first := map[string]tables.Date{}
	for _, c := range log.Casts {
		name := history.Fold(log.Molds[c.Mold].Mold)
		last[name] = max(last[name], c.Date)
		if d, ok := first[name]; !ok || c.Date < d {
			first[name] = c.Date
		}
	}
	out := s
	var casts []tables.Cast
	for _, c := range s.Casts.Rows() {
		if c.Date.Valid() && c.Date <= at {
			casts = append(casts, c)
		}
	}
	var molds []tables.Mold
	for _, m := range s.Molds.Rows() {
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
	out.Casts, out.Molds = tables.FrameOf(casts...), tables.FrameOf(molds...)
	return out
}
