package mapping

import "strings"

// MaxNesting is how many brackets may stand open, and how many dots may part the
// names of one line. A mapping needs two of either; the library that reads it
// takes time that grows as the third power of their number.
const MaxNesting = 16

// tooDeep finds the first line, from 1, that goes beyond MaxNesting; 0: none does.
// Texts in quotation marks are passed over, but for those of several lines, which
// no mapping needs: what stands on their first and last line is counted.
func tooDeep(text string) int {
	open, number := 0, 0
	for line := range strings.Lines(text) {
		number++
		dots, aware := 0, !strings.Contains(line, `"""`) && !strings.Contains(line, `'''`)
		var within byte // the quotation mark of the text we are in
		for i := 0; i < len(line); i++ {
			c := line[i]
			switch {
			case within != 0:
				if c == '\\' && within == '"' {
					i++
				} else if c == within {
					within = 0
				}
			case aware && (c == '"' || c == '\''):
				within = c
			case aware && c == '#':
				i = len(line)
			case c == '[' || c == '{':
				open++
			case c == ']' || c == '}':
				open = max(0, open-1)
			case c == '.':
				dots++
			}
			if open > MaxNesting || dots > MaxNesting {
				return number
			}
		}
	}
	return 0
}
