package pipeline

// Cautions are the usual ones for this work, from school and art safety guides
// and the limits named in their text. They defer to local codes.
func Cautions() []string {
	return []string{
		"Setting plaster heats to about 60 °C and burns skin on long contact: never enclose a hand or any body part in it.",
		"Plaster dust harms lungs, and dust of clay and slip holds crystalline silica: weigh and sift with extraction or a fitted respirator, clean up wet, don't sweep dry.",
		"Add plaster to cool water, not water to plaster; keep it out of drains and of biodegradable waste: let leftovers set and dispose of them as local rules say.",
		"Saws and wedges slip: clamp the mold, keep hands behind the blade, wear eye protection. A cut-depth table is only as good as the gaps that were measured: stop short where in doubt.",
		"Kilns need ventilation and trained hands. Plaster crumbs in clay burst in firing: keep chipped molds out of use.",
		"Local codes, the material's safety data sheet and licensed practice come before anything in this report.",
	}
}
