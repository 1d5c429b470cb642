package quantity

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

func TestDates(t *testing.T) {
	march14 := tables.MakeDate(2025, time.March, 14)
	for _, text := range []string{
		"2025-03-14", "2025/3/14", "2025.03.14", "20250314", "14/3/2025", "3/14/2025", "14.3.2025", "14.03.25", "14-3-25", "14 Mar 2025", "14-Mar-25", "Mar 14, 2025",
		"March 14th 2025", "14th March 2025", "Fri 14 March 2025", "Friday, March 14, 2025", "14/3/25", "45730", "45730.5", "2025-03-14T09:30:00Z", "3/14/2025 9:30 AM",
	} {
		d, err := ParseDay(text, Calendar{})
		if assertNoError(t, text, err) {
			require.Equal(t, march14, d.Date, text)
		}
	}
	for text, want := range map[string]float64{
		"45730.5": 720, "2025-03-14 09:30": 570, "2025-03-14T09:30:00.123Z": 570, "3/14/2025 2:30:00 PM": 870, "14.3.2025, 14:30": 870, "14 Mar 2025 2:30 pm": 870,
	} {
		d, err := ParseDay(text, Calendar{})
		if assertNoError(t, text, err) {
			require.InDelta(t, want, d.Minutes, 1e-6, text)
		}
	}
	for _, text := range []string{
		"", "x", "31/2/2025", "2025-02-30", "13/13/2025", "14 Mar", "Mar 2025", "3/14", "0", "-1", "3000000", "14/3/2025 25:00", "14 Foo 2025", "1/2/3", "14/3/20255", "20251301", "12.13.2025", "+1/2/2025",
	} {
		_, err := ParseDay(text, Calendar{Order: DayFirst})
		require.Error(t, err, text)
		require.NotErrorIs(t, err, ErrAmbiguous, text)
	}
}

func TestDatesOfOtherLanguages(t *testing.T) {
	march14 := tables.MakeDate(2025, time.March, 14)
	for _, text := range []string{
		"14. März 2025", "14 Maerz 2025", "Fr, 14. März 2025", "Freitag, 14. März 2025", "14 mars 2025", "vendredi 14 mars 2025", "ven. 14 mars 2025", "14 de marzo de 2025", "viernes, 14 de marzo de 2025",
		"14 marzo 2025", "venerdì 14 marzo 2025", "14 maart 2025", "14 mrt. 2025", "vrijdag 14 maart 2025", "14 de março de 2025", "sexta-feira, 14 de março de 2025", "14-Mär-25", "the 14th of March 2025",
		"2025-W11-5", "2025 March 14", "14 Mar. 2025", "1４/３/２０２５",
	} {
		d, err := ParseDay(text, Calendar{})
		if assertNoError(t, text, err) {
			require.Equal(t, march14, d.Date, text)
		}
	}
	// The abbreviations of Unicode CLDR (from memory).
	for _, names := range []string{
		"Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec", "Jan. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez.", "janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc.",
		"ene feb mar abr may jun jul ago sept oct nov dic", "gen feb mar apr mag giu lug ago set ott nov dic", "jan feb mrt apr mei jun jul aug sep okt nov dec", "jan. fev. mar. abr. mai. jun. jul. ago. set. out. nov. dez.",
	} {
		for i, name := range strings.Fields(names) {
			require.Equal(t, i+1, MonthOf(name), "%s in %s", name, names)
		}
	}
	for _, word := range []string{"jui", "foo", "ma", "", "mon", "march1", "marching", "de"} {
		require.Zero(t, MonthOf(word), word)
	}
}

// Week dates against the standard library's own weeks.
func TestWeekDates(t *testing.T) {
	for day := time.Date(2019, 12, 20, 0, 0, 0, 0, time.UTC); day.Year() < 2028; day = day.AddDate(0, 0, 1) {
		year, week := day.ISOWeek()
		text := fmt.Sprintf("%d-W%02d-%d", year, week, (int(day.Weekday())+6)%7+1)
		d, err := ParseDay(text, Calendar{})
		require.NoError(t, err, text)
		require.Equal(t, tables.DateOf(day), d.Date, text)
	}
	for _, text := range []string{"2025-W53-1", "2025-W00-1", "2025-W11-8", "2025-W11-0", "25-W11-1", "2025-W-1"} {
		_, err := ParseDay(text, Calendar{})
		require.ErrorIs(t, err, ErrUnreadable, text)
	}
}

func TestDatesWithoutAYearNeedOne(t *testing.T) {
	for text, month := range map[string]int{"14 Mar": 0, "Mar 14": 0, "Fri 14 March": 0, "14 de marzo": 0, "14.3.": 0, "14/3": 0, "3/14": 0, "14": 3, "14.": 3, "Fri 14": 3, "14th": 3} {
		_, err := ParseDay(text, Calendar{})
		if text != "14" && text != "14." { // those alone are serial numbers of spreadsheets
			require.ErrorIs(t, err, ErrUnreadable, text)
		}
		d, err := ParseDay(text, Calendar{Year: 2025, Month: month})
		if assertNoError(t, text, err) {
			require.Equal(t, tables.MakeDate(2025, time.March, 14), d.Date, text)
		}
	}
	_, err := ParseDay("3/4", Calendar{Year: 2025})
	require.ErrorIs(t, err, ErrAmbiguous)
	_, err = ParseDay("31", Calendar{Year: 2025, Month: 2})
	require.ErrorIs(t, err, ErrUnreadable)
	d, err := ParseDay("45730", Calendar{Year: 2024, Month: 2})
	require.NoError(t, err)
	require.Equal(t, "2025-03-14", d.Date.String(), "a whole date stays as it is")
}

func TestDatesWithATimeInOtherWords(t *testing.T) {
	for text, want := range map[string]float64{"14.3.2025 14h30": 870, "14 Mar 2025 2 pm": 840, "14 Mar 2025 2pm": 840, "14.3.2025 um 14:30 Uhr": 870, "14 March 2025 at 2:30 p.m.": 870, "14 mars 2025 à 14h": 840} {
		d, err := ParseDay(text, Calendar{})
		if assertNoError(t, text, err) {
			require.InDelta(t, want, d.Minutes, 1e-9, text)
			require.Equal(t, tables.MakeDate(2025, time.March, 14), d.Date, text)
		}
	}
}

func TestTheOrderOfDayAndMonthIsNotGuessed(t *testing.T) {
	_, err := ParseDay("3/4/2025", Calendar{})
	require.ErrorIs(t, err, ErrAmbiguous)
	d, err := ParseDay("3/4/2025", Calendar{Order: DayFirst})
	require.NoError(t, err)
	require.Equal(t, tables.MakeDate(2025, time.April, 3), d.Date)
	d, err = ParseDay("3/4/2025", Calendar{Order: MonthFirst})
	require.NoError(t, err)
	require.Equal(t, tables.MakeDate(2025, time.March, 4), d.Date)
	d, err = ParseDay("4/4/2025", Calendar{})
	require.NoError(t, err, "the 4th of April reads the same either way")
	require.Equal(t, tables.MakeDate(2025, time.April, 4), d.Date)
	d, err = ParseDay("3/14/2025", Calendar{Order: DayFirst})
	require.NoError(t, err)
	require.Equal(t, MonthFirst, d.Shows)
}

// Checked against the spreadsheet library's own conversion, an independent one.
func TestSerialDatesOfBothSystems(t *testing.T) {
	for _, n := range []int{1, 58, 59, 61, 62, 1000, 36526, 45730, 73050} {
		for _, system := range []bool{false, true} {
			want, err := excelize.ExcelDateToTime(float64(n), system)
			require.NoError(t, err)
			require.Equal(t, want.Format("2006-01-02"), fromSerial(n, system).String(), "%d %v", n, system)
		}
	}
	// Microsoft's documentation, article 214330: 5 July 1998 is 35981 in the 1900 and 34519 in the 1904 system (from memory).
	require.Equal(t, "1998-07-05", fromSerial(35981, false).String())
	require.Equal(t, "1998-07-05", fromSerial(34519, true).String())
}

func TestHeadersThatStateTheOrder(t *testing.T) {
	for text, want := range map[string]DayOrder{
		"dd/mm/yyyy": DayFirst, "d.m.y": DayFirst, "MM/DD/YYYY": MonthFirst, "mm-dd-yy": MonthFirst, "yyyy-mm-dd": OrderUnknown, "my": OrderUnknown, "day": OrderUnknown, "mm": OrderUnknown,
	} {
		require.Equal(t, want, OrderInHeader(text), text)
	}
}

func TestNoDayIsNoMinutes(t *testing.T) {
	d, err := ParseDay("2025-03-14", Calendar{})
	require.NoError(t, err)
	require.True(t, math.IsNaN(d.Minutes))
}
