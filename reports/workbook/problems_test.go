package workbook

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestLinksLeadToTheCellOfTheFile(t *testing.T) {
	for _, c := range []struct{ file, sheet, cell, want string }{
		{"../logs/my log.xlsx", "Casts", "F12", "../logs/my%20log.xlsx#'Casts'!F12"},
		{"log.xlsx", "Jo's", "12", "log.xlsx#'Jo%27%27s'!A12"},
		{"log.xlsx", "März 2025", "B2", "log.xlsx#'M%C3%A4rz%202025'!B2"},
		{"log.csv", "", "F12", "log.csv"},
		{"log.xlsx", "", "", "log.xlsx"},
		{"", "Casts", "F12", ""},
	} {
		assert.Equal(t, c.want, linkTo(c.file, c.sheet, c.cell))
	}
}
