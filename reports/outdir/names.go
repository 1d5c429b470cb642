package outdir

import (
	"runtime"
	"slices"
	"strings"
	"unicode/utf8"
)

const onWindows = runtime.GOOS == "windows"

// Unfit says why a name cannot be that of a file or a folder on Windows, ""
// where it can: Microsoft, "Naming Files, Paths, and Namespaces", from memory.
// Outputs keep to it on every system, because folders are copied between them.
func Unfit(name string) string {
	stem, _, _ := strings.Cut(name, ".")
	stem = strings.ToUpper(strings.TrimRight(stem, " "))
	switch {
	case name == "":
		return "it is empty"
	case strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || strings.ContainsRune(`<>:"/\|?*`, r) }):
		return `it holds one of < > : " / \ | ? * or a control character`
	case strings.HasSuffix(name, ".") || strings.HasSuffix(name, " "):
		return "it ends in a dot or a space"
	case slices.Contains([]string{"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"}, stem), isPort(stem):
		return "it is that of a device"
	case utf8.RuneCountInString(name) > 255:
		return "it is too long"
	}
	return ""
}

// isPort reports whether a name is COM1 to LPT9, superscript digits included.
func isPort(stem string) bool {
	digit, found := strings.CutPrefix(stem, "COM")
	if !found {
		digit, found = strings.CutPrefix(stem, "LPT")
	}
	return found && utf8.RuneCountInString(digit) == 1 && strings.Contains("123456789¹²³", digit)
}
