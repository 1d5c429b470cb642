package page

import (
	"fmt"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/ingest"
)

func readingSection(res pipeline.Result) section {
	s := section{ID: "read", Title: "What was read"}
	if len(res.Reading.Files) == 0 {
		return s.leftOut(res, "", "No file was read")
	}
	read, used, aside, noData := res.Reading.Rows()
	s.text("%s with content in %s: %s used, %s set aside, %s without data (titles, headers, notes). None of the files was changed.",
		plural(read, "row", "rows"), plural(len(res.Reading.Files), "file", "files"), whole(used), whole(aside), whole(noData))
	t := table{
		Caption: "Files and sheets",
		Head:    append(append(words("File|sheet", "Taken for"), numbers("Rows read", "Used", "Set aside", "Without data")...), words("Remark")...),
	}
	taken := table{Caption: "How the columns were read", Class: "flow", Head: words("File|sheet", "Columns: as headed → as taken", "Not used")}
	for _, f := range res.Reading.Files {
		if f.Unreadable != "" || len(f.Sheets) == 0 {
			t.Rows = append(t.Rows, row{Cells: []cell{of(f.Name), of(dash), of(dash), of(dash), of(dash), of(dash), of(sentence(f.Unreadable))}})
		}
		for _, sh := range f.Sheets {
			t.Rows = append(t.Rows, row{Cells: []cell{
				of(f.Name, sh.Name), of(sh.Table), of(whole(sh.RowsRead)), of(whole(sh.RowsUsed)), of(whole(sh.RowsAside)), of(whole(sh.RowsNoData)), of(remark(sh)),
			}})
			if into, unused := columnsTaken(sh); into != "" {
				taken.Rows = append(taken.Rows, row{Cells: []cell{of(f.Name, sh.Name), of(into), of(unused)}})
			}
		}
	}
	s.table(t)
	s.table(taken)
	return s
}

func remark(sh ingest.Sheet) string {
	text := sentence(sh.Why)
	if sh.Hidden {
		text = strings.TrimSpace("A hidden sheet. " + text)
	}
	return text
}

// columnsTaken tells how each header was understood, and which were not used.
func columnsTaken(sh ingest.Sheet) (into, unused string) {
	var known, unknown []string
	for _, c := range sh.Columns {
		head := short(c.Header)
		switch {
		case c.Column == "":
			if head != "" {
				unknown = append(unknown, head)
			}
		case c.Unit != "":
			known = append(known, fmt.Sprintf("%s → %s in %s", head, c.Column, c.Unit))
		default:
			known = append(known, fmt.Sprintf("%s → %s", head, c.Column))
		}
	}
	return strings.Join(known, "; "), strings.Join(unknown, "; ")
}

func notGivenSection(res pipeline.Result) section {
	s := section{ID: "not-given", Title: "What could not be answered, and what would give it"}
	if len(res.NotGiven) == 0 {
		s.text("Every answer was given.")
		return s
	}
	t := table{Caption: "Answers not given", Head: words("Answer", "Not given because", "What would give it")}
	for _, m := range res.NotGiven {
		t.Rows = append(t.Rows, cells(sentenceStart(m.Answer), sentence(m.Because), sentence(m.Add)))
	}
	s.table(t)
	return s
}
