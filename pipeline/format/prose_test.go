package format

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSentencesOfThePipelineAreToldInTheReportsUnits(t *testing.T) {
	say := NewProse(US, MonthDay, []string{"mug", "Bowl 2 kg", "log 2025-11-30.xlsx", "Vase 120 mm, tall"})
	for text, want := range map[string]string{
		"a wall near 4.9 mm was expected":                                    "a wall near 0.193 in was expected",
		"12.30 kg of plaster, its gaps call for 11.04 kg":                    "27.12 lb of plaster, its gaps call for 24.34 lb",
		"taken to be off by 2.0 mm, weighed masses by 1.0 %":                 "taken to be off by 0.079 in, weighed masses by 1.0 %",
		"Leave at least 25 mm, better 50 mm, between the two":                "Leave at least 1 in, better 2 in, between the two",
		"stay 12 mm from the model":                                          "stay 1/2 in from the model",
		"0.5 to 50 mm are believed":                                          "0.020 to 1.969 in are believed",
		"heights of 33 and 67 mm":                                            "heights of 1 5/16 and 2 5/8 in",
		"heats to about 60 °C":                                               "heats to about 140 °F",
		"a rate of 1.2 mm²/min":                                              "a rate of 0.11 in²/h",
		"a model of 3.4 L":                                                   "a model of 3.6 qt",
		"−0.5 mm":                                                            "−0.020 in",
		"due on 2025-03-04, at 2.0 mm":                                       "due on Mar 4, 2025, at 0.079 in",
		"2026-01-01 to 2026-06-30":                                           "Jan 1, 2026 to Jun 30, 2026",
		"Bowl 2 kg took 2 kg":                                                "Bowl 2 kg took 4 lb",
		"Vase 120 mm, tall is 120 mm":                                        "Vase 120 mm, tall is 4 3/4 in",
		"read log 2025-11-30.xlsx of 2025-11-30":                             "read log 2025-11-30.xlsx of Nov 30, 2025",
		"write it as “25 kg bag” or 2.0 mm":                                  "write it as “25 kg bag” or 0.079 in",
		"a kilogram makes 1.07 L, its mold 1.10 kg/L. Dry below about 45 °C": "a pound makes 0.513 qt, its mold 2.29 lb/qt. Dry below about 113 °F",
		"1.186 kg for each kilogram, of 2.70 g/cm³. At 2.00 kg":              "1.186 lb for each pound, of 2.70 g/cm³. At 4.41 lb",
		"0.998 kg to the litre":                                              "0.998 kg to the litre",
		"pour P12 kg, 5 kgs, 3 mm/min, 2025-13-45, 12025-03-04, 7 L":         "pour P12 kg, 5 kgs, 3 mm/min, 2025-13-45, 12025-03-04, 7 qt",
		"22 min, 40 casts, 90 %, a·L² + b·L, t = 3 Lots":                     "22 min, 40 casts, 90 %, a·L² + b·L, t = 3 Lots",
		"": "",
	} {
		require.Equal(t, want, say.Text(text))
		require.Equal(t, want, say.Text(want), "told twice is told once")
	}
	require.Equal(t, "write 2025-03-14, to 1 in", say.Units("write 2025-03-14, to 25 mm"))
	require.Equal(t, []string{"1 in"}, say.Texts([]string{"25 mm"}))
	require.False(t, say.Idle())
}

func TestMetricSentencesStayAsTheyAre(t *testing.T) {
	for _, u := range []Units{Metric, ""} {
		say := NewProse(u, ISO, nil)
		require.True(t, say.Idle())
		require.Equal(t, "5.2 mm on 2025-03-04", say.Text("5.2 mm on 2025-03-04"))
	}
	require.Equal(t, "5.2 mm on 4 Mar 2025", NewProse(Metric, DayMonth, nil).Text("5.2 mm on 2025-03-04"))
}
