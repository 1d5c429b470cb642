// Package codes explains the codes of problems in one place: what each means,
// what becomes of the row, and how it is mended.
package codes

import "slices"

// Code is one kind of problem.
type Code struct {
	Code    string
	Becomes string // what becomes of the row, value or sheet
	Means   string // in plain words
	Mend    string
}

// Group is the codes about one subject.
type Group struct {
	Subject string
	Codes   []Code
}

// Find gives the entry of a code.
func Find(code string) (Code, bool) {
	for _, g := range Groups() {
		if i := slices.IndexFunc(g.Codes, func(c Code) bool { return c.Code == code }); i >= 0 {
			return g.Codes[i], true
		}
	}
	return Code{}, false
}

const (
	note    = "a note; all is used"
	ignored = "the value is not used, the row is"
	aside   = "the row is set aside"
	either  = "the value is not used; where a row needs it, the row is set aside"
)

// Groups lists all codes by subject.
func Groups() []Group {
	return []Group{
		{"Files", files()}, {"Sheets", sheets()}, {"Columns", columns()}, {"Cells", cells()},
		{"Rows, and tables together", rows()}, {"Walls and lives", answers()}, {"Plaster and prices", plaster()},
	}
}

func files() []Code {
	return []Code{
		{"unreadable-file", "nothing of the file is read", "The file could not be opened: not a spreadsheet, damaged, protected with a password, empty, too large, or in a form that is not read (.ods, .xls).", "Open it in your spreadsheet program and save it as .xlsx, or export it as CSV."},
		{"duplicate-file", note, "The file is byte for byte the same as another; it was read once.", "Remove one of them."},
		{"former-run", "the folder is not read", "The folder holds the results of an earlier run.", "Keep logs and results in different folders."},
		{"encoding-inferred", note, "A text file does not say how its letters are written; one way was assumed.", "Look at names with accents; save as CSV UTF-8 to be sure."},
		{"unclosed-quote", note, "A quotation mark is not closed in its row; the lines after it were read as rows of their own.", "Close or remove the quotation mark."},
	}
}

func sheets() []Code {
	return []Code{
		{"sheet-not-recognised", "nothing of the sheet is used", "The sheet has content, but no table was found on it.", "Nothing, if it holds no log. Else name its columns as in the template, or use a mapping file."},
		{"hidden-sheet", note, "A hidden sheet was read like the others.", "Delete it if it must not count."},
		{"hidden-rows", note, "Hidden or filtered rows were read like the others.", "Delete them if they must not count."},
		{"sheet-cut-short", "the rest of the sheet is set aside", "The sheet could be read only in part: it is damaged, or larger than what is read of one sheet.", "Open and save the file anew, or split the sheet."},
		{"too-many-columns", note, "There is content to the right of the last column that is read.", "Move the table to the left, or onto a sheet of its own."},
		{"merged-cells", note, "Cells merged downwards were read as if each row held the first one's value.", "Nothing, if that is what was meant."},
		{"name-from-sheet", note, "The mold, or the month of dates without a year, was taken from the sheet's name or a line above the table.", "Nothing, if that is right; else add a column."},
		{"wide-layout", note, "Several records in one row, or one record a column, were read as rows.", "Nothing, if the account of the sheet is right."},
		{"total-row", "the row is no data", "A row of totals or averages is not a record.", "Nothing."},
		{"not-cast", "the row is no data", "A line of a day sheet with nothing written into it: its cast was not made.", "Nothing."},
		{"header-repeated", "the row is no data", "The header stands again further down.", "Nothing."},
		{"mapping-used", note, "Your mapping file settled what the sheet's columns mean.", "Nothing."},
		{"mapping-unused", note, "An entry of the mapping file fits no sheet or no column.", "Correct the name in the mapping file, or remove the entry."},
	}
}

func columns() []Code {
	return []Code{
		{"column-not-used", note, "Columns whose headers mean nothing to the table.", "Nothing, unless one of them was meant: rename it, or use a mapping file."},
		{"column-twice", "the second column is not used", "Two columns mean the same.", "Keep one, or rename the one that means something else."},
		{"header-guessed", note, "A misspelt header was taken for the column it is nearest to.", "Correct the header."},
		{"unit-does-not-fit", "the column is not used", "The unit in the header does not measure what the column holds.", "Correct the unit."},
		{"unit-assumed", note, "No unit stands anywhere; plain numbers were read in the usual one.", "Write the unit in the header: Wall (mm)."},
		{"percent-inferred", note, "Plain numbers of a share were read as percent, or as parts of one, by their size.", "Write % in the header or in the cells."},
		{"day-fraction", note, "Numbers below one were read as times, as spreadsheets store them.", "Nothing, if that is right."},
		{"water-by-volume", note, "Water measured by volume was turned into kilograms.", "Nothing; weighed water is more exact."},
		{"time-from-date", note, "The dates carry a time of day, which was taken for the time column.", "Nothing, if that is right."},
		{"date-order", note, "Whether day or month comes first was worked out from other dates of the column.", "Nothing, if that is right."},
		{"date-order-borrowed", note, "… from other columns of the file.", "Nothing, if that is right; else write (dd/mm/yyyy) in the header."},
		{"date-order-unknown", aside, "No date of the column shows whether day or month comes first; the unclear ones are not read.", "Write (dd/mm/yyyy) or (mm/dd/yyyy) in the header, use --dates, or write 2025-03-14."},
		{"date-order-mixed", aside, "Some dates have the day first and others the month; the unclear ones are not read.", "Write the dates as 2025-03-14."},
		{"word-read-as", note, "A word was read as one of those allowed.", "Nothing, if that is right."},
		{"ditto-read", note, "Ditto marks were read as the value above them.", "Nothing, if that is right."},
	}
}

func cells() []Code {
	return []Code{
		{"missing", aside, "A cell that the row needs is empty. A cast without a wall or dwell still counts towards its mold's age.", "Fill it in."},
		{"not-calculated", either, "A formula has no value, because no program has calculated it.", "Open the file in your spreadsheet program and save it."},
		{"error-value", either, "The spreadsheet shows an error such as #REF! here.", "Mend the formula."},
		{"unreadable", either, "The cell holds something else than the column asks for.", "Write it as the message says."},
		{"out-of-range", either, "The value lies beyond the limits below.", "Correct it, or write its unit."},
		{"ambiguous-number", either, "The comma or point may part thousands or decimals.", "Write it with a decimal point and no thousands mark."},
		{"ambiguous-date", either, "3/4/2025 may be in March or in April.", "Write 2025-03-14; see date-order-unknown."},
		{"unknown-word", either, "The word is none of those allowed.", "Write one of them, or use a mapping file."},
		{"cell-too-long", either, "The cell holds more text than a spreadsheet cell can.", "Shorten it; close its quotation mark if it swallowed other rows."},
		{"future-date", note, "The date lies in the future.", "Correct it if it is a slip of the pen."},
		{"approximate", note, "A number marked as not exact (~6, ca. 6, 6?) was read as the number.", "Nothing."},
		{"note-behind-number", note, "Words stood behind a number; the number was used.", "Nothing; a note column keeps them apart."},
		{"unit-doubted", ignored, "The value would fit its neighbours in another unit than the column's.", "Correct it, or write its unit in the cell."},
	}
}

func rows() []Code {
	return []Code{
		{"duplicate-row", aside, "The same row stands in the files already.", "Remove one of them."},
		{"duplicate-id", aside, "A second, different row for the same mold, pour, slip or form; the first is used.", "Keep one row for each."},
		{"cast-id-twice", note, "Two different casts bear the same number.", "Give each its own."},
		{"no-wall", note, "The cast has no wall: it ages its mold and is not in the wall fit.", "Nothing; measure where you can."},
		{"no-wall-on-faulty", note, "A second or reject has no wall, which is common.", "Nothing."},
		{"mold-not-listed", note, "A mold is used but not on the molds sheet; its kind is unknown.", "Add it, or correct the name."},
		{"pour-not-listed", note, "A pour is named but not on the pours sheet.", "Add it, or correct the name."},
		{"slip-not-listed", note, "A slip is named but not on the slips sheet.", "Add it, or correct the name."},
		{"form-not-listed", note, "A form is named but not on the forms sheet.", "Add it, or correct the name."},
		{"cast-after-end", note, "The cast is dated after its mold ended.", "Correct the cast's date, its mold, or the day it ended."},
		{"cast-before-start", note, "The cast is dated before its mold came into service.", "Correct one of the dates."},
		{"cast-before-pour", note, "The cast is dated before the pour that made its mold.", "Correct one of the dates, or the pour."},
		{"age-conflict", note, "The age written with a cast is not the number of the mold's casts before it.", "Log the missing casts, or correct casts_before_log."},
		{"spelling-joined", note, "Two spellings of a name were taken for one.", "Nothing, if that is right; else give different names."},
		{"end-conflict", note, "A mold is in use and has an end, or ended before it was made.", "Correct the status or one of the dates."},
		{"mold-poured-twice", note, "Two pours that did not fail are said to have made one mold, which is not of several parts.", "Give each mold its own name, or correct the pour's outcome."},
		{"slip-after-cast", note, "A slip is dated after a cast that used it.", "Correct the date of the slip or the slip of the cast."},
		{"name-unclear", note, "A name could be either of several listed ones, and was left as it is.", "Write the name as it is listed."},
		{"odd-consistency", note, "Water to plaster is far from any usual mix.", "Check the units, and that the two are not in each other's column."},
		{"after-as-of", note, "The row is dated after the day the report speaks of, and is left out.", "Nothing, if --as-of was meant so; else correct the date."},
	}
}

func answers() []Code {
	return []Code{
		{"no-shrinkage", aside, "A dry or fired wall needs the form's shrinkage to be turned into a wet one.", "Add drying_shrinkage and firing_shrinkage to the form."},
		{"unusual-wall", note, "The wall is far from what its mold and dwell make likely; it counts for little in the fit.", "Look whether it was typed wrong."},
		{"odd-reading", note, "One reading of a wall is far from the others of the piece.", "Look whether it was typed wrong."},
	}
}

func plaster() []Code {
	return []Code{
		{"no-plaster", aside, "A pour without plaster cannot be balanced.", "Fill in the plaster."},
		{"no-water", ignored, "A pour without water: its consistency is unknown.", "Fill in the water."},
		{"no-outcome", note, "Pours do not say how they ended; they count as good.", "Fill in the outcome."},
		{"pour-twice", aside, "A second pour with the same name.", "Give each pour its own name."},
		{"mass-impossible", ignored, "A mass cannot be what was weighed.", "Correct it."},
		{"more-than-mixed", note, "More plaster is accounted for than was mixed.", "Check the masses and their units."},
		{"unexplained-plaster", note, "More plaster is missing than the masses explain.", "Weigh what is left over, spilled and trimmed."},
		{"ratio-inverted", note, "Plaster and water look exchanged.", "Check the two columns."},
		{"off-recipe", note, "A pour was not mixed as its recipe asks.", "Weigh both, or correct the recipe."},
		{"recipe-unreadable", ignored, "No mix of plaster and water can be read from a recipe.", "Write parts of water to 100 of plaster, such as 70."},
		{"estimate-far-off", note, "What the mold took is far from the volume that its gaps give.", "Check the gaps, the containment wall and the units."},
		{"no-height", ignored, "A model's volume without a height does not give the plaster needed.", "Measure the gaps, or the height."},
		{"foot-not-measured", note, "No gap was measured near the base.", "Measure one at the base."},
		{"unknown-pour", note, "Gaps of a pour that no pours sheet lists.", "Add the pour, or correct the name."},
		{"thin-gap", note, "A gap is too thin for a saw cut with its margin.", "Leave more room round the model."},
		{"price-impossible", aside, "The price cannot be right.", "Correct it."},
		{"price-unit", aside, "The price is for a unit that does not measure the item.", "Write kg, lb, 25 kg bag, L or hour."},
		{"bag-size", note, "A bag's size is not said.", "Write it: 25 kg bag."},
		{"before-first-price", note, "Pours from before the first price are charged at that price.", "Add the price that held then."},
	}
}
