package workbook

import (
	"math"
	"strings"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// Names of what a reader may change on the budget sheet, and of what follows from it.
const (
	priceName   = "plaster_price"
	bagName     = "bag_size"
	stockName   = "plaster_in_stock"
	haveName    = "plaster_to_have"
	toOrderName = "plaster_to_order"
	bagsName    = "plaster_bags"
	billName    = "plaster_bags_cost"
)

// allClasses is the budget of all classes together.
func (b *book) allClasses() (all tables.Budget, ok bool) {
	for _, r := range b.res.Plaster.Budget {
		if r.Class == everyone && known(r.PlasterKgP50) {
			return r, true
		}
	}
	return tables.Budget{}, false
}

// orderFigures are what a reader may change about the order, and the order: bags
// by need less stock, money by bags.
func (b *book) orderFigures() []figure {
	r, ok := b.allClasses()
	p, in := b.res.Plaster, b.written()
	if !ok || !known(p.BagKg) || p.BagKg <= 0 || r.Bags == tables.NoCount {
		return nil
	}
	unit := in.units.MassUnit().Name
	price := value{}
	if known(p.PriceKg) {
		price = shortest(in.units.PerMass(p.PriceKg), 4)
	} else {
		price.code = "0.####"
	}
	price.code += `" a ` + unit + `"`
	need := in.about(r.PlasterKgP90)
	need.number = in.units.MassUnit().Of(r.PlasterKgP90)
	order := need.by("MAX(0," + haveName + "-" + stockName + ")")
	order.code = inUnit(moneyCode, unit)
	bill := fixed(r.BagsCost, 2)
	if bill.is == isEmpty {
		bill = words("no price") // a formula's text: it makes way for money once there is a price
	}
	bill.code = `[<100]0.00;0`
	need.code = inUnit(need.code, unit)
	return []figure{
		{what: "Price of plaster, in the currency of your price list", value: price, name: priceName, yours: true, quiet: true},
		{what: "A bag holds", value: fixed(in.units.MassUnit().Of(p.BagKg), in.bagDecimals(p.BagKg)).marked(" " + unit), name: bagName, yours: true, quiet: true},
		{what: "Plaster in stock on that day", value: whole(0).marked(" " + unit), name: stockName, yours: true, quiet: true},
		{what: "Plaster to have, enough in nine terms of ten", value: need, name: haveName, quiet: true},
		{what: "Plaster to order for " + r.Period, value: order, name: toOrderName},
		{what: "Bags of plaster to buy for " + r.Period, name: bagsName,
			value: count(r.Bags).by("IF(N(" + bagName + ")>0,ROUNDUP(ROUND(" + toOrderName + "/" + bagName + ",9),0),\"no bag size\")")},
		{what: "What these bags cost, in the currency of your price list", name: billName,
			value: bill.by("IF(N(" + priceName + ")>0,IF(ISNUMBER(" + bagsName + ")," + bagsName + "*" + bagName + "*" + priceName + ",\"\"),\"no price\")")},
	}
}

// inUnit writes a unit behind each of the formats of a code.
func inUnit(code, unit string) string {
	parts := strings.Split(code, ";")
	for i := range parts {
		parts[i] += `" ` + unit + `"`
	}
	return strings.Join(parts, ";")
}

// bagDecimals show a bag's size as it is known.
func (w written) bagDecimals(kg float64) int {
	if x := w.units.MassUnit().Of(kg); math.Abs(x-math.Round(x)) < 1e-6 {
		return 0
	}
	return 1
}

// asked bounds what may stand in the cells that a reader may change.
func (s *sheet) asked() {
	for _, f := range s.b.figures {
		if f.place.sheet == s.name && f.yours {
			s.positive(f.place.cell)
		}
	}
}

// positive lets only numbers from 0 on into a cell.
func (s *sheet) positive(cells string) {
	v := excelize.NewDataValidation(true)
	v.SetSqref(cells)
	s.b.fail(v.SetRange(0, 1e6, excelize.DataValidationTypeDecimal, excelize.DataValidationOperatorBetween))
	v.SetError(excelize.DataValidationErrorStyleStop, "A number", "Type a number of 0 or more.")
	s.b.fail(s.b.file.AddDataValidation(s.name, v))
}

// costOf is what plaster comes to at the price on the sheet, to two digits.
func (w written) costOf(kg, cost float64) value {
	v := twoDigits(cost)
	if !known(kg) {
		return v
	}
	switch {
	case v.is == isEmpty:
		v = value{is: isText}
		v.code = moneyCode
	case v.number > 0:
		v.code = moneyCode
	}
	x := exactly(w.units.MassUnit().Of(kg)) + "*" + priceName
	return v.by("IF(N(" + priceName + ")>0," + roundedTo2(x) + ",\"\")")
}

// moneyCode shows the digits that twoDigits does.
const moneyCode = `[<1]0.00;[<10]0.0;0`

// costsOf is a range of what plaster comes to.
func (w written) costsOf(lowKg, highKg float64, v value) value {
	if !known(lowKg) || !known(highKg) || lowKg < 0 {
		return v
	}
	if v.is == isEmpty {
		v = value{is: isText}
	}
	text := func(kg float64) string { return twoDigitsText(exactly(w.units.MassUnit().Of(kg)) + "*" + priceName) }
	return v.by("IF(N(" + priceName + ")>0," + text(lowKg) + "&\"–\"&" + text(highKg) + ",\"\")")
}

// bagsOf is how many bags of the size on the sheet hold what a class needs.
func (w written) bagsOf(r tables.Budget) value {
	v := count(r.Bags)
	if v.is == isEmpty || !known(r.PlasterKgP90) {
		return v
	}
	return v.by("IF(N(" + bagName + ")>0,ROUNDUP(ROUND(" + exactly(w.units.MassUnit().Of(r.PlasterKgP90)) + "/" + bagName + ",9),0),\"\")")
}
