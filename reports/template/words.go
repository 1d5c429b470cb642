package template

import "moldwright/pipeline/tables"

// purpose says which answer each sheet is for.
func purpose(t tables.Table) string {
	switch t.Name {
	case "molds":
		return "Which molds there are, of what kind, and how they ended: how many casts each still has, and comparing molds of a kind."
	case "pours":
		return "How much plaster was used and lost, by cause, class and maker; what to order next."
	case "gaps":
		return "How much plaster each pour needed, how much more to mix, and how deep to saw a split mold."
	case "casts":
		return "How long to leave the slip in; how fast each mold wears; which molds wear out early. About 8 casts with a wall are enough to start."
	case "slips":
		return "The density of the slip, so that a thicker slip is not taken for a better mold."
	case "forms":
		return "The wall you aim for (for the dwell guide), the longest dwell (for the end of a mold), shrinkage (for dry or fired walls)."
	case "prices":
		return "Money: the cost of waste and of next term's plaster."
	case "orders":
		return "Whether the molds in use can make the pieces wanted."
	}
	return ""
}

// example is a value as a person would type it; together they tell of one form,
// its mold, the pour that made it and a cast from it.
func example(t tables.Table, c tables.Column) string {
	return map[string]map[string]string{
		"molds": {
			"mold": "M-01", "form": "mug", "kind": "split", "pour": "P-01", "in_service": "2025-03-10", "casts_before_log": "0",
			"status": "retired", "ended_on": "2025-06-20", "end_reason": "worn",
		},
		"pours": {
			"pour": "P-01", "date": "2025-03-04", "mold": "M-01", "maker": "K7", "class": "C-1", "plaster": "8.2", "water": "5.8", "shape": "round",
			"inside_diameter": "210", "inside_length": "240", "inside_width": "180", "plaster_over_model": "50", "model_volume": "0.9",
			"leftover": "0.6", "spilled": "0.1", "trimmed": "0.3", "outcome": "good", "note": "poured in two lifts", "recipe": "70",
		},
		"gaps": {"pour": "P-01", "height": "40", "gap": "52"},
		"casts": {
			"cast": "1", "date": "2025-03-12", "time": "9:30", "mold": "M-01", "slip": "S-14", "dwell": "20", "wall": "5.2", "demold": "90",
			"mold_mass": "6.4", "room_temperature": "21", "room_humidity": "55%", "result": "second", "fault": "pinholes at the foot", "note": "mold dampened first", "age": "0", "form": "mug",
		},
		"slips": {"slip": "S-14", "date": "2025-03-01", "specific_gravity": "1.78", "temperature": "20", "recipe": "W-2"},
		"forms": {
			"form": "mug", "target_wall": "5", "wall_tolerance": "0.5", "longest_dwell": "35", "casts_per_day": "3", "rest_hours": "1.5",
			"pieces_per_kg_slip": "1.6", "drying_shrinkage": "4.5%", "firing_shrinkage": "8%", "target_fired_wall": "4.4",
		},
		"prices": {"item": "plaster", "unit": "25 kg bag", "price": "32.50", "from": "2025-01-01"},
		"orders": {"form": "mug", "pieces": "120", "due": "2025-09-30", "start": "2025-09-01"},
	}[t.Name][c.Name]
}

// rules are what a person must know before the first row.
func rules() []string {
	return []string{
		"Start with one sheet: Casts or Pours alone is enough. Each answer appears when its columns are there, and the report says what is missing for the others and what that would add.",
		"Dark headers in bold are required: a row without them cannot be used. Everything else may stay empty, and columns that you don't need may be deleted. Rest the pointer on a header to read what belongs there.",
		"One row a cast, a pour, a mold. Log the failed ones too: a cast left out makes the mold look younger than it is.",
		"Units stand in the header, and you may change them there: Wall 1 (in), Plaster (lb), Dwell (hh:mm). A unit may stand in the cell as well: 5.2 mm, 2 lb 6 oz, 1 1/4 in.",
		"Walls are wet walls, measured at draining. If you measure later, say so in all the Wall headers, for example Wall 1 (mm, dry) or Wall 1 (mm, fired), and fill in the shrinkage on the sheet Forms.",
		"Leftover and Spilled are weighed as slurry, Trimmed as set plaster. If you write down dry plaster instead, say so in the header: Leftover (kg, dry plaster).",
		"Write a name the same on every sheet; the drop-downs take mold, form, pour and slip names from their own sheets. Use codes for makers and classes, not people's names.",
		"Sheets may be renamed and columns moved or added; keep one header row above the data. Rows below the first 1,000 work too, without drop-downs. Your file is read and never changed.",
	}
}

// cautions are short: the log itself asks for nothing risky.
func cautions() []string {
	return []string{
		"Nothing here asks you to touch wet or setting plaster, which heats to about 60 °C and burns skin: measure gaps before you pour, weigh buckets with what is in them.",
		"Measure walls at the drained rim or on trimmed clay; don't reach into a mold that is being filled or drained by machine.",
		"Weighing and sifting plaster raises dust: extraction or a fitted respirator, and wet cleaning. Plaster stays out of drains.",
		"Local codes, the material's safety data sheet and licensed practice come first.",
	}
}
