package workbook

import (
	"fmt"
	"strconv"
	"strings"
)

// texts are those of all cells of a workbook, each kept once.
type texts struct {
	numbers map[string]int
	items   []byte // as they stand in their part
	uses    int
}

func newTexts() *texts { return &texts{numbers: map[string]int{}} }

// number is that of a text, by which cells name it.
func (t *texts) number(text string) int {
	t.uses++
	n, ok := t.numbers[text]
	if !ok {
		n = len(t.numbers)
		t.numbers[text] = n
		kind := "<si><t>"
		if spaced(text) {
			kind = `<si><t xml:space="preserve">` // else a reader may trim it
		}
		t.items = append(appendEscaped(append(t.items, kind...), escaped(text)), "</t></si>"...)
	}
	return n
}

// spaced reports whether a text begins or ends with a space or a line's end.
func spaced(text string) bool {
	return text != "" && (strings.IndexByte(" \t\n\r", text[0]) >= 0 || strings.IndexByte(" \t\n\r", text[len(text)-1]) >= 0)
}

// part is the part of the file that holds them.
func (t *texts) part() [][]byte {
	head := fmt.Sprintf(xmlHead+`<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="%d" uniqueCount="%d">`, t.uses, len(t.numbers))
	return [][]byte{[]byte(head), t.items, []byte("</sst>")}
}

// escaped keeps a text such as _x0041_ as it is: in a workbook's shared texts it
// would stand for the character A.
func escaped(text string) string {
	for i := 0; i+7 <= len(text); i++ {
		if text[i] == '_' && text[i+1] == 'x' && text[i+6] == '_' && isHex(text[i+2:i+6]) {
			return text[:i] + "_x005F" + text[i:i+6] + escaped(text[i+6:])
		}
	}
	return text
}

func isHex(s string) bool {
	_, err := strconv.ParseUint(s, 16, 32)
	return err == nil
}
