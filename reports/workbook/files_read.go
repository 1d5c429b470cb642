package workbook

// fileRow is one sheet of one file that was read, or a file that could not be.
type fileRow struct {
	file, sheet, table     string
	read, used, aside, not int
	why                    string
}

// filesRead is the account of what was read from where.
func (b *book) filesRead() {
	rows := b.fileRows()
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: filesSheet, title: "What was read", wide: true,
		note: "One row a sheet. Rows read = used + set aside + no data (titles, headers and rows of no table). Why each row was set aside stands on the Problems sheet. Nothing was written to your files.",
	}, table[fileRow]{
		name: "files_table", full: "run.json", columns: fileColumns(), rows: rows, long: true,
		marks: []mark{{on: "Taken as", words: notTaken, columns: []string{"Taken as"}, tone: toneSoon}},
	})
	s.keyFigures(figuresHeading, b.readFigures())
	s.close()
}

const notTaken = "not used"

func (b *book) fileRows() []fileRow {
	var rows []fileRow
	for _, f := range b.res.Reading.Files {
		if f.Unreadable != "" || len(f.Sheets) == 0 {
			rows = append(rows, fileRow{file: f.Name, table: notTaken, why: f.Unreadable})
		}
		for _, s := range f.Sheets {
			r := fileRow{
				file: f.Name, sheet: s.Name, table: s.Table, why: s.Why,
				read: s.RowsRead, used: s.RowsUsed, aside: s.RowsAside, not: s.RowsNoData,
			}
			if r.table == "" {
				r.table = notTaken
			}
			rows = append(rows, r)
		}
	}
	return rows
}

func fileColumns() []column[fileRow] {
	return []column[fileRow]{
		{head: "File", most: 40, value: func(r fileRow) value { return words(r.file) }},
		{head: "Sheet", value: func(r fileRow) value { return words(r.sheet) }},
		{head: "Taken as", value: func(r fileRow) value { return words(r.table) }},
		{head: "Rows read", value: func(r fileRow) value { return whole(r.read) }},
		{head: "Used", value: func(r fileRow) value { return whole(r.used) }},
		{head: "Set aside", value: func(r fileRow) value { return whole(r.aside) }},
		{head: "No data", value: func(r fileRow) value { return whole(r.not) }},
		{head: "Why not used", most: 50, value: func(r fileRow) value { return words(r.why) }},
	}
}
