package plaster

import "moldwright/pipeline/tables"

// balances are the rows of the pour_balance table. In each, the masses after
// the first add to it, where anything tells the balance.
func (b book) balances() []tables.PourBalance {
	out := make([]tables.PourBalance, len(b.entries))
	for i := range b.entries {
		e := &b.entries[i]
		absent := tables.Absent()
		row := tables.PourBalance{Pour: e.Pour.Pour, MixedKg: e.PlasterKg, InMoldKg: e.inMold,
			LeftoverKg: e.parts.leftover, SpilledKg: e.parts.spilled, TrimmedKg: e.parts.trimmed,
			FailedKg: absent, UnexplainedKg: absent, UnexplainedLower80: absent, UnexplainedUpper80: absent, Known: e.told()}
		if e.known() {
			row.FailedKg, row.UnexplainedKg = e.parts.failed, e.parts.unexplained
			row.UnexplainedLower80, row.UnexplainedUpper80 = e.restLow, e.restHigh
		}
		out[i] = row
	}
	return out
}

// told says what tells the balance of a pour.
func (e *entry) told() string {
	weighed, gaps := tables.Has(e.weighed.leftover), e.needed.known()
	switch {
	case !e.usable:
		return "failed"
	case weighed && gaps:
		return "both"
	case weighed:
		return "weighed"
	case gaps:
		return "gaps"
	}
	return "nothing"
}
