package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

func vocabularyOf(t testing.TB, table string) vocabulary {
	t.Helper()
	for _, v := range vocabularies() {
		if v.table.Name == table {
			return v
		}
	}
	require.Failf(t, "no such table", "%s", table)
	return vocabulary{}
}

func TestHeaders(t *testing.T) {
	for _, c := range []struct {
		header, column, unit string
		pick                 int
		basis                string
	}{
		{header: "casts: dwell", column: "dwell"},
		{header: "casts: Dwell (min)", column: "dwell", unit: "min"},
		{header: "casts: dwell_min", column: "dwell", unit: "min"},
		{header: "casts: DwellMin", column: "dwell", unit: "min"},
		{header: "casts: Dwell time [hh:mm]", column: "dwell", unit: "hh:mm"},
		{header: "casts: Dwell [[h]:mm]", column: "dwell", unit: "h:mm"},
		{header: "casts: dwell hh:mm", column: "dwell", unit: "hhmm"},
		{header: "casts: Time (min)", column: "dwell", unit: "min"},
		{header: "casts: Time", column: "time"},
		{header: "casts: Time of day", column: "time"},
		{header: "casts: SOAK TIME", column: "dwell"},
		{header: "casts: wall mm", column: "wall", unit: "mm"},
		{header: `casts: Wall (")`, column: "wall", unit: "in"},
		{header: "casts: Thickness, in", column: "wall", unit: "in"},
		{header: "casts: wall_1", column: "wall", pick: 1},
		{header: "casts: Wall 2 (mm)", column: "wall", unit: "mm", pick: 2},
		{header: "casts: wall_3_mm", column: "wall", unit: "mm", pick: 3},
		{header: "casts: wall mm 4", column: "wall", unit: "mm", pick: 4},
		{header: "casts: Wall (5)", column: "wall", pick: 5},
		{header: "casts: Dry wall", column: "wall", basis: tables.WallDry},
		{header: "casts: Wall, fired, mm", column: "wall", unit: "mm", basis: tables.WallFired},
		{header: "casts: Wall (fired, mm)", column: "wall", unit: "mm", basis: tables.WallFired},
		{header: "casts: wet wall thickness", column: "wall", basis: tables.WallWet},
		{header: "casts: average wall", column: "wall"},
		{header: "casts: Mould No.", column: "mold"},
		{header: "casts: Mold ID", column: "mold"},
		{header: "casts: Mould", column: "mold"},
		{header: "casts: Cast #", column: "cast"},
		{header: "casts: Demoulded after (h)", column: "demold", unit: "h"},
		{header: "casts: Room temp °F", column: "room_temperature", unit: "°F"},
		{header: "casts: RH %", column: "room_humidity", unit: "%"},
		{header: "casts: Date (dd/mm/yyyy)", column: "date"},
		{header: "casts: Date (Tuesdays only)", column: "date"},
		{header: "pours: Water, lb", column: "water", unit: "lb"},
		{header: "pours: Water (qt)", column: "water", unit: "qt"},
		{header: "pours: plaster weight lbs", column: "plaster", unit: "lb"},
		{header: "pours: Dry plaster (kg)", column: "plaster", unit: "kg"},
		{header: "pours: Plaster, dry, kg", column: "plaster", unit: "kg"},
		{header: "pours: Leftover (dry plaster, kg)", column: "leftover", unit: "kg", basis: tables.AsDry},
		{header: "pours: dry plaster left over", column: "leftover", basis: tables.AsDry},
		{header: "pours: Spilled dry plaster", column: "spilled", basis: tables.AsDry},
		{header: "pours: trimmed", column: "trimmed"},
		{header: "pours: Model volume (cu in)", column: "model_volume", unit: "in3"},
		{header: "pours: Poured by", column: "maker"},
		{header: "gaps: gap N", column: "gap", pick: 1001},
		{header: "gaps: gap_3 [cm]", column: "gap", unit: "cm", pick: 3},
		{header: "gaps: gap in", column: "gap", unit: "in"},
		{header: "forms: rest_hours", column: "rest_hours"},
		{header: "forms: Rest (d)", column: "rest_hours", unit: "d"},
		{header: "forms: Max dwell (min)", column: "longest_dwell", unit: "min"},
		{header: "forms: Pieces per lb slip", column: "pieces_per_kg_slip", unit: "/lb"},
		{header: "forms: Target wall, fired", column: "target_fired_wall"},
		{header: "slips: S.G.", column: ""},
		{header: "slips: SG", column: "specific_gravity"},
		{header: "slips: Density g/cm³", column: "specific_gravity", unit: "g/cm3"},
		{header: "prices: Price ($ per unit)", column: "price"},
		{header: "orders: Qty", column: "pieces"},
		{header: "casts: Dwell (mm)", column: ""},
		{header: "casts: Dwell (kg)", column: ""},
		{header: "casts: glaze", column: ""},
		{header: "casts: dwell 2", column: ""},
		{header: "casts: wall wall", column: ""},
		{header: "casts: mm", column: ""},
		{header: "casts: 1", column: ""},
		{header: "casts: ", column: ""},
	} {
		table, header, _ := strings.Cut(c.header, ": ")
		v := vocabularyOf(t, table)
		m, _, ok := v.match(newHeading(header))
		if c.column == "" {
			require.False(t, ok, c.header)
			continue
		}
		require.True(t, ok, c.header)
		require.Equal(t, c.column, v.table.Columns[m.column].Name, c.header)
		require.Equal(t, c.unit, m.unit.Name, c.header)
		require.Equal(t, c.basis, m.basis, c.header)
		if c.pick != 1001 {
			require.Equal(t, c.pick, m.pick, c.header)
		} else {
			require.Greater(t, m.pick, 0, c.header)
		}
	}
}

func TestEveryDeclaredNameAndSynonymIsUnderstood(t *testing.T) {
	for _, v := range vocabularies() {
		for _, c := range v.table.Columns {
			if c.Kind == "" {
				continue
			}
			m, _, ok := v.match(newHeading(c.Name))
			require.True(t, ok, "%s.%s", v.table.Name, c.Name)
			require.Equal(t, c.Name, v.table.Columns[m.column].Name)
			require.True(t, m.exact)
		}
	}
	for key, words := range synonyms {
		table, column, _ := strings.Cut(key, ".")
		v := vocabularyOf(t, table)
		_, declared := v.table.Column(column)
		require.True(t, declared, key)
		for word := range strings.SplitSeq(words, "|") {
			if onlyWithUnit[key+"|"+word] {
				_, _, ok := v.match(newHeading(word))
				require.False(t, ok, "%s: %s", key, word)
				word += " °C"
			}
			m, _, ok := v.match(newHeading(word))
			require.True(t, ok, "%s: %s", key, word)
			if got := v.table.Columns[m.column].Name; got != column && word != "time" {
				t.Errorf("%s: %q is read as %s", key, word, got)
			}
		}
	}
}

func TestOtherWordsLeadToAllowedOnes(t *testing.T) {
	allowed := map[string]bool{}
	for _, table := range tables.Inputs() {
		for _, c := range table.Columns {
			for _, choice := range c.Choices {
				allowed[c.Name+"|"+choice] = true
			}
		}
	}
	for column, words := range otherWords {
		for word, choice := range words {
			require.True(t, allowed[column+"|"+choice], "%s: %s", column, word)
		}
	}
}

func TestEveryMeasuredColumnHasALimit(t *testing.T) {
	known := map[string]bool{}
	for _, table := range tables.Inputs() {
		for _, c := range table.Columns {
			known[table.Name+"."+c.Name] = true
			if quantity.DimensionOf(c) != quantity.NoDimension {
				require.Contains(t, limits, table.Name+"."+c.Name)
			}
			if c.Unit != "" && c.Kind != tables.KindCount && c.Kind != tables.KindClock {
				require.Equal(t, c.Unit, quantity.Standing(c).Name, "%s.%s", table.Name, c.Name)
			}
		}
	}
	for name, l := range limits {
		require.True(t, known[name], name)
		require.Less(t, l.low, l.high, name)
	}
}

func TestAMissingColumnIsNamedWithWhatCameClosest(t *testing.T) {
	res := readText(t, "a.csv", "Date,Mold,Dwell (mm),Wall (mm)\n2025-03-01,A,20,5\n")
	s := res.Reading.Files[0].Sheets[0]
	require.Empty(t, s.Table)
	require.Contains(t, s.Why, "row 1 looks like the header of casts, but there is no column for dwell")
	require.Contains(t, s.Why, "“Dwell (mm)” names the unit mm")
	require.Equal(t, []string{CodeSheetUnknown}, codes(res.Problems))

	res = readText(t, "a.csv", "Date,Mold,Dwell,Wall,Humidty,Glaze\n2025-03-01,A,20 min,5 mm,45,x\n")
	p := find(t, res, CodeColumnNotUsed)
	require.Equal(t, "“Glaze”", p.Value)

	res = readText(t, "a.csv", "Date,Mold,Dwell,Wall,Ault\n2025-03-01,A,20 min,5 mm,x\n")
	require.Contains(t, find(t, res, CodeColumnNotUsed).Mend, "“Ault” as fault")
}

func TestTablesAreToldApart(t *testing.T) {
	for header, want := range map[string]string{
		"mold,form":                          "molds",
		"mold,form,kind,pour,status":         "molds",
		"pour,date,plaster,water":            "pours",
		"pour,date,plaster,water,height,gap": "pours",
		"pour,height,gap_1,gap_2":            "gaps",
		"date,mold,dwell,wall":               "casts",
		"slip,date,sg":                       "slips",
		"form,target wall,max dwell":         "forms",
		"item,unit,price,from":               "prices",
		"form,pieces,due":                    "orders",
		"product,quantity,due date":          "orders",
		"date,mold,dwell,slip,room temp":     "", // casts without a wall, not slips
		"name,phone,address":                 "",
		"glaze,cone,colour":                  "",
	} {
		found := recognise(grid.Of(true, strings.Split(header, ",")), hints{})
		blocks, why := found.blocks, found.why
		if want == "" {
			require.Empty(t, blocks, header)
			require.NotEmpty(t, why)
			continue
		}
		require.Len(t, blocks, 1, header)
		require.Equal(t, want, blocks[0].table.Name, header)
	}
}

func TestTitlesUnitsRepeatedHeadersAndASecondTable(t *testing.T) {
	res := readText(t, "a.csv", strings.Join([]string{
		"Studio log 2025,,,", ",,,", "Casts,,,",
		"Date,Mold,Dwell,Wall", ",,min,mm",
		"2025-03-01,A,20,5", "2025-03-02,A,22,5.1",
		"Date,Mold,Dwell,Wall",
		"2025-03-03,A,24,5.2", ",,,",
		"Mold,Form,Kind,",
		"A,cup,split,", "B,bowl,one-piece,",
	}, "\n"))
	s := res.Reading.Files[0].Sheets[0]
	require.Equal(t, "casts, molds", s.Table)
	require.Equal(t, 4, s.HeaderRow)
	require.Equal(t, []int{11, 5, 0, 6}, []int{s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData})
	require.Equal(t, 3, res.Studio.Casts.Len())
	require.Equal(t, 2, res.Studio.Molds.Len())
	require.Equal(t, []string{CodeHeaderRepeated}, codes(res.Problems), "the row of units states the units")
	file, _, cell := res.Studio.Blocks.Place(res.Studio.Molds.Origin(1), "kind")
	require.Equal(t, []string{"logs/a.csv", "C13"}, []string{file, cell})
}

func TestSecondColumnsOfTheSameMeaning(t *testing.T) {
	res := readText(t, "a.csv", "Day,Date,Mold,Dwell (min),Wall 2 (mm),Wall 1 (mm),Mean wall (mm)\nx,2025-03-01,A,20,5,6,5.5\n")
	require.Equal(t, []string{CodeColumnTwice, CodeColumnTwice}, codes(res.Problems))
	require.Equal(t, []float64{6, 5}, casts(res)[0].WallsMM, "readings in the order of their numbers, without their mean")

	res = readText(t, "a.csv", "Date,Mold,Dwell (min),Mean wall (mm)\n2025-03-01,A,20,5.5\n")
	require.Equal(t, []float64{5.5}, casts(res)[0].WallsMM)
	require.Empty(t, res.Problems)
}
