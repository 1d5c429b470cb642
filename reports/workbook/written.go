package workbook

import (
	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// written makes cells of quantities, which come in SI, and of days, as the
// settings ask for. A cell holds the number in its unit, so that filters, formulas
// and charts work in it; the column's header names the unit.
type written struct {
	units format.Units
	days  format.Days
}

func (b *book) written() written { return writtenBy(b.res.Settings) }

func writtenBy(set pipeline.Settings) written { return written{set.Units, set.Days} }

// ofLength, ofMass and ofRate are headers with the unit behind them: "Wall (mm)".
func (w written) ofLength(head string) string { return head + " (" + w.units.Length().Name + ")" }
func (w written) ofMass(head string) string   { return head + " (" + w.units.MassUnit().Name + ")" }
func (w written) ofRate(head string) string   { return head + " (" + w.units.CastingRate().Name + ")" }

// wall is a wall given in mm.
func (w written) wall(mm float64) value {
	return fixed(w.units.Length().Of(mm), w.units.WallDecimals())
}

// ruler is a length given in mm, as a ruler reads it.
func (w written) ruler(mm float64) value {
	return w.onRuler(w.units.OnRuler(mm), w.units.Ruler(mm))
}

// rulerDown is a length given in mm that must not be exceeded.
func (w written) rulerDown(mm float64) value {
	return w.onRuler(w.units.OnRulerDown(mm), w.units.RulerDown(mm))
}

func (w written) onRuler(x float64, text string) value {
	v := fixed(x, 0)
	if v.is == isNumber && w.units == format.US {
		v.code, v.text = w.units.RulerCode(), trimUnit(text)
	}
	return v
}

// rate is a casting rate given in mm²/min.
func (w written) rate(k float64) value { return significant(w.units.CastingRate().Of(k), 2) }

// mass is a mass given in kg, with the digits that format.Units.MassInOne shows.
func (w written) mass(kg float64) value {
	return fixed(w.units.MassUnit().Of(kg), w.units.MassDecimals(kg))
}

// markedMass is a mass with its unit in the cell, for cells whose column names none.
func (w written) markedMass(kg float64) value {
	return w.mass(kg).marked(" " + w.units.MassUnit().Name)
}

// weighed is a mass to weigh out, given in kg.
func (w written) weighed(kg float64) value {
	return fixed(w.units.MassUnit().Of(kg), w.units.WeighedDecimals(kg))
}

// day is a date as the spreadsheet counts days. Days before March 1900, which
// spreadsheet programs count differently, stay text.
func (w written) day(d tables.Date) value {
	v := serialDay(d)
	if v.is != isEmpty {
		v.text = w.days.Day(d)
	}
	if v.is == isNumber {
		v.code = w.days.Code()
	}
	return v
}

// weekday is a date with its day of the week before it.
func (w written) weekday(d tables.Date) value {
	v := w.day(d)
	if v.is == isNumber {
		v.code = "ddd " + v.code
		v.text = w.days.Weekday(d)
	}
	return v
}
