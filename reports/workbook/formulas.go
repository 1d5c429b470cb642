package workbook

import "strconv"

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
