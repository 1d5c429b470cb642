package workbook

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"regexp"
	"strconv"
)

// computed keeps what a formula's cell shows until a program works it out anew:
// the library writes formulas without it, so that readers which don't calculate
// would see empty cells.
func (b *book) computed(sheet, cell string, v value) {
	if b.results[sheet] == nil {
		b.results[sheet] = map[string]value{}
	}
	b.results[sheet][cell] = v
}

// withResults are the changes to the sheets with formulas, by the name of their part.
func (b *book) withResults() map[string]func([]byte) []byte {
	out := map[string]func([]byte) []byte{}
	for sheet, results := range b.results {
		out[fmt.Sprintf("xl/worksheets/sheet%d.xml", b.parts[sheet])] = func(data []byte) []byte { return putResults(data, results) }
	}
	return out
}

// cellWithFormula is a formula as the library writes it: always as one that gives a text.
var cellWithFormula = regexp.MustCompile(`<c r="([A-Z]+[0-9]+)"([^>]*?) t="str"><f>([^<]*)</f>(?:<v>[^<]*</v>|<v/>)?</c>`)

func putResults(data []byte, results map[string]value) []byte {
	return cellWithFormula.ReplaceAllFunc(data, func(cell []byte) []byte {
		m := cellWithFormula.FindSubmatch(cell)
		v, ok := results[string(m[1])]
		if !ok {
			return cell
		}
		var out bytes.Buffer
		fmt.Fprintf(&out, `<c r="%s"%s`, m[1], m[2])
		if v.is == isNumber {
			fmt.Fprintf(&out, `><f>%s</f><v>%s</v></c>`, m[3], strconv.FormatFloat(v.number, 'g', 15, 64))
			return out.Bytes()
		}
		fmt.Fprintf(&out, ` t="str"><f>%s</f><v>`, m[3])
		if err := xml.EscapeText(&out, []byte(v.text)); err != nil {
			return cell
		}
		out.WriteString(`</v></c>`)
		return out.Bytes()
	})
}

// roundedTo is a formula that rounds another, positive or negative, to two
// digits, as twoDigits does.
func roundedTo2(x string) string {
	return "IF(" + x + "=0,0,ROUND(" + x + ",1-INT(LOG10(ABS(" + x + ")))))"
}

// twoDigitsText is a formula that writes a number of at least 0 as twoDigits does.
func twoDigitsText(x string) string {
	digits := "1-INT(LOG10(" + x + "))"
	return "IF(" + x + "=0,\"0\",FIXED(ROUND(" + x + "," + digits + "),MAX(0,MIN(2," + digits + ")),TRUE))"
}

// exactly writes a number into a formula with all that it holds.
func exactly(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
