package plaster

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// 1 lb is 0.45359237 kg exactly (international yard and pound agreement 1959; from memory).
func TestMassOfAUnit(t *testing.T) {
	for unit, want := range map[string]float64{
		"kg": 1, "per kg": 1, "KG ": 1, "lb": 0.45359237, "lbs": 0.45359237, "25 kg bag": 25, "25kg": 25, "bag of 50 lb": 50 * 0.45359237, "50-lb sack": 50 * 0.45359237,
		"50# bag": 50 * 0.45359237, "22,7 kg bag": 22.7, "1,000 kg": 1000, "tonne": 1000, "t": 1000, "500 g": 0.5, "8 oz": 8 * 0.45359237 / 16, ".5 kg": 0.5, "bags (20 kilograms)": 20,
	} {
		kg, _, ok := massOfUnit(unit)
		require.True(t, ok, unit)
		require.InDelta(t, want, kg, 1e-12, unit)
	}
	for _, unit := range []string{"", "bag", "hour", "L", "0 kg", "sack", "gallon"} {
		_, _, ok := massOfUnit(unit)
		require.False(t, ok, unit)
	}
	_, bag, _ := massOfUnit("50 lb bag")
	require.True(t, bag)
}

func TestThePriceInForce(t *testing.T) {
	day := func(d int) tables.Date { return tables.MakeDate(2025, 1, d) }
	s := tables.Studio{Prices: tables.FrameOf(
		tables.Price{Item: "plaster", Unit: "25 kg bag", Price: 50, From: day(10)},
		tables.Price{Item: "plaster", Unit: "kg", Price: 1, From: day(5)},
		tables.Price{Item: "plaster", Unit: "kg", Price: 9, From: day(30)},
		tables.Price{Item: "labour", Unit: "hour", Price: 18, From: tables.NoDate},
		tables.Price{Item: "slip", Unit: "L", Price: 3, From: tables.NoDate},
	)}
	var problems problemList
	list := readPrices(s, day(20), Defaults(), &problems)
	require.Empty(t, problems.rows)
	require.InDelta(t, 3*1.0, list.cost(3, day(7)), 1e-12)
	require.InDelta(t, 3*2.0, list.cost(3, day(10)), 1e-12)
	require.InDelta(t, 3*1.0, list.cost(3, day(1)), 1e-12, "before the first price the first one holds")
	require.InDelta(t, 3*2.0, list.cost(3, day(31)), 1e-12, "a price from after the day of the report does not count")
	require.False(t, list.began(day(1)))
	require.InDelta(t, 18*hoursPerMold, list.labour, 1e-12)
	require.InDelta(t, 25, bagSize(list, day(20), Defaults()), 0)
	require.False(t, tables.Has(priceList{}.cost(3, day(1))))
}

func TestPricesThatCantBeRead(t *testing.T) {
	for code, p := range map[string]tables.Price{
		"price-unit":       {Item: "plaster", Unit: "bucket", Price: 5},
		"price-impossible": {Item: "plaster", Unit: "kg", Price: -5},
		"bag-size":         {Item: "plaster", Unit: "bag", Price: 5},
	} {
		var problems problemList
		p.From = tables.NoDate
		list := readPrices(tables.Studio{Prices: tables.FrameOf(p)}, tables.NoDate, Defaults(), &problems)
		require.Len(t, problems.rows, 1)
		require.Equal(t, code, problems.rows[0].Code)
		require.Equal(t, code == "bag-size", len(list.plaster) == 1)
	}
	var problems problemList
	labour := tables.Price{Item: "labour", Unit: "week", Price: 5, From: tables.NoDate}
	require.False(t, tables.Has(readPrices(tables.Studio{Prices: tables.FrameOf(labour)}, tables.NoDate, Defaults(), &problems).labour))
	require.Len(t, problems.rows, 1)
}
