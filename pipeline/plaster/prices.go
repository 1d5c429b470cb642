package plaster

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"moldwright/pipeline/tables"
)

// plasterPrice is a price of plaster from a day on.
type plasterPrice struct {
	from  tables.Date // NoDate: always
	perKg float64
	bagKg float64 // mass of a bag, 0 where the price is not for bags
}

// priceList holds what the plaster stage pays for.
type priceList struct {
	plaster []plasterPrice // oldest first; the last one holds today
	labour  float64        // of pouring one mold; absent where not priced

	announced []plasterPrice // prices from a later day on, which no cost uses; oldest first
}

// heaviestBagKg is the largest unit that is taken for a bag without the word: common practice, no source.
const heaviestBagKg = 60

// readPrices reads the price list as far as it holds on a day. Rows whose unit
// or price can't be read are told and left out.
func readPrices(s tables.Studio, day tables.Date, set Settings, problems *problemList) priceList {
	list := priceList{labour: tables.Absent()}
	labourFrom := tables.NoDate
	for _, p := range s.Prices.Rows() {
		switch fold(p.Item) {
		case "plaster":
			if one, ok := readPlasterPrice(p, set, problems); ok {
				list.plaster = append(list.plaster, one)
			}
		case "labour":
			if cost := labourOfMold(p, problems); tables.Has(cost) && p.From >= labourFrom && p.From <= day {
				list.labour, labourFrom = cost, p.From
			}
		}
	}
	slices.SortStableFunc(list.plaster, func(a, b plasterPrice) int { return cmp.Compare(a.from, b.from) })
	for n := len(list.plaster); n > 1 && list.plaster[n-1].from > day; n-- {
		list.announced = append(list.announced, list.plaster[n-1])
		list.plaster = list.plaster[:n-1]
	}
	slices.Reverse(list.announced)
	return list
}

func readPlasterPrice(p tables.Price, set Settings, problems *problemList) (plasterPrice, bool) {
	if !tables.Has(p.Price) || p.Price < 0 || p.Price > 1e9 {
		problems.add(p.Origin, "price", tables.Problem{Code: "price-impossible", Severity: tables.SetAside, Value: show(p.Price),
			Message: "a price of plaster can't be this", Mend: "correct the price"})
		return plasterPrice{}, false
	}
	kg, bag, ok := massOfUnit(p.Unit)
	if !ok && bag {
		kg = set.BagKg
		problems.add(p.Origin, "unit", tables.Problem{Code: "bag-size", Severity: tables.Notice, Value: p.Unit,
			Message: "the size of the bag is not given and is taken as " + show(kg) + " kg", Mend: "write the unit as “25 kg bag” or “50 lb bag”"})
	} else if !ok {
		problems.add(p.Origin, "unit", tables.Problem{Code: "price-unit", Severity: tables.SetAside, Value: p.Unit,
			Message: "the unit of this price is not a mass", Mend: "write the unit as kg, lb, “25 kg bag” or “50 lb bag”"})
		return plasterPrice{}, false
	}
	one := plasterPrice{from: p.From, perKg: p.Price / kg}
	if bag || kg > 2 && kg <= heaviestBagKg { // "25 kg" alone is a bag too, a tonne is not
		one.bagKg = kg
	}
	return one, true
}

// at is the plaster price in force on a day and whether there is one. Before
// the first price the first one holds: the list began later than the log.
func (l priceList) at(day tables.Date) (plasterPrice, bool) {
	if len(l.plaster) == 0 {
		return plasterPrice{}, false
	}
	found := l.plaster[0]
	for _, p := range l.plaster {
		if p.from <= day {
			found = p
		}
	}
	return found, true
}

// began reports whether the price list already held on a day.
func (l priceList) began(day tables.Date) bool {
	return len(l.plaster) > 0 && l.plaster[0].from <= day
}

// cost of plaster on a day, absent without a price.
func (l priceList) cost(kg float64, day tables.Date) float64 {
	p, ok := l.at(day)
	if !ok || !tables.Has(kg) {
		return tables.Absent()
	}
	return kg * p.perKg
}

var (
	massInUnit = regexp.MustCompile(`(?:(\d*\.?\d+)\s*-?|\b)(kilogram|kilo|kg|gram|gr|g|pound|lb|ounce|oz|tonne|t)s?\b|(\d*\.?\d+)\s*#`)
	thousands  = regexp.MustCompile(`(\d),(\d{3})\b`)
)

// massOfUnit reads what a price is for: "kg", "lb", "25 kg bag", "50 lb bag",
// "bag of 22,7 kg". bag tells whether the word bag or sack stands there.
func massOfUnit(unit string) (kg float64, bag, ok bool) {
	u := thousands.ReplaceAllString(fold(unit), "$1$2")
	u = strings.ReplaceAll(u, ",", ".")
	bag = strings.Contains(u, "bag") || strings.Contains(u, "sack")
	m := massInUnit.FindStringSubmatch(u)
	if m == nil {
		return 0, bag, false
	}
	number, name := cmp.Or(m[1], m[3], "1"), cmp.Or(m[2], "lb") // 50# is 50 lb
	n, err := strconv.ParseFloat(number, 64)
	if err != nil || n <= 0 || n > 1e6 {
		return 0, bag, false
	}
	return n * kgPer(name), bag, true
}

func kgPer(name string) float64 {
	switch name {
	case "gram", "gr", "g":
		return 0.001
	case "pound", "lb":
		return 0.45359237
	case "ounce", "oz":
		return 0.45359237 / 16
	case "tonne", "t":
		return 1000
	}
	return 1
}

// hoursPerMold is the work of pouring a mold again: common practice, no source.
const hoursPerMold = 1

// labourOfMold is the labour of pouring one mold, absent where the unit is
// neither a time nor the mold itself.
func labourOfMold(p tables.Price, problems *problemList) float64 {
	unit := fold(p.Unit)
	if tables.Has(p.Price) && p.Price >= 0 && p.Price <= 1e9 {
		switch strings.TrimSuffix(strings.TrimPrefix(unit, "per "), "s") {
		case "hour", "h", "hr":
			return p.Price * hoursPerMold
		case "minute", "min":
			return p.Price * 60 * hoursPerMold
		case "mold", "pour":
			return p.Price
		}
	}
	problems.add(p.Origin, "unit", tables.Problem{Code: "price-unit", Severity: tables.SetAside, Value: p.Unit,
		Message: "a price of labour needs a price of zero or more and a unit of hour, minute, mold or pour", Mend: "write the unit as hour, minute, mold or pour"})
	return tables.Absent()
}
