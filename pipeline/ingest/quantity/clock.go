package quantity

import (
	"math"
	"strconv"
	"strings"
)

// parseSpan reads a length of time with colons, in minutes: 0:22 and 1:05 as
// hours and minutes unless the pattern or a word after it (22:30 min) says
// minutes and seconds; 0:22:30 as hours, minutes and seconds.
func parseSpan(s string, p Pattern) (float64, error) {
	word := strings.TrimLeft(s, "0123456789:., ")
	digits := strings.TrimSpace(strings.TrimSuffix(s, word))
	if word != "" {
		u, ok := LookUnit(word, Duration)
		switch {
		case ok && u.Name == "h":
			p = HoursMinutes
		case ok && u.Name == "min":
			p = MinutesSeconds
		default:
			return 0, ErrUnreadable
		}
	}
	fields := strings.Split(digits, ":")
	if len(fields) < 2 || len(fields) > 3 {
		return 0, ErrUnreadable
	}
	if len(fields) == 2 && p == MinutesSeconds {
		fields = append([]string{"0"}, fields...)
	} else if len(fields) == 2 {
		fields = append(fields, "0")
	}
	h, errH := colonField(fields[0], 9999)
	m, errM := colonField(fields[1], 59)
	if p == MinutesSeconds && h == 0 {
		m, errM = colonField(fields[1], 9999)
	}
	sec, errS := strconv.ParseFloat(strings.Replace(fields[2], ",", ".", 1), 64)
	if errH != nil || errM != nil || errS != nil || !(sec >= 0 && sec < 60) {
		return 0, ErrUnreadable
	}
	return h*60 + m + sec/60, nil
}

func colonField(s string, most int) (float64, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 || n > most || strings.HasPrefix(s, "+") || strings.HasPrefix(s, "-") {
		return 0, ErrUnreadable
	}
	return float64(n), nil
}

// ParseClock reads a time of day, in minutes after midnight: 14:30, 14h30,
// 2:30 pm, 2 pm, 14.30 Uhr, noon, 1430, or a spreadsheet's fraction of a day
// with or without the day before it. fraction says that it was such a number.
// The error is ErrUnreadable.
func ParseClock(s string) (minutes float64, fraction bool, err error) {
	if x, ok := Plain(s); ok {
		switch whole := math.Floor(x); {
		case x >= 0 && x < 1, x > 20_000 && x < 80_000 && x != whole:
			return ToMinute((x - whole) * 1440), true, nil
		case x == whole && len(s) == 4 && s[0] != '-' && s[0] != '+' && x < 2400 && math.Mod(x, 100) < 60:
			return math.Floor(x/100)*60 + math.Mod(x, 100), false, nil
		}
		return 0, false, ErrUnreadable
	}
	if len(s) > longestNumber {
		return 0, false, ErrUnreadable
	}
	s = strings.ToLower(strings.Join(strings.Fields(normal(s)), " "))
	if t, ok := afterWord(s, roughly); ok {
		s = t
	}
	switch s {
	case "noon", "midday":
		return 720, false, nil
	}
	s, hour := strings.CutSuffix(s, "uhr")
	s = strings.TrimSpace(s)
	half := 0
	for i, suffixes := range [][]string{{"a.m.", "am", "a.m", "a"}, {"p.m.", "pm", "p.m", "p"}} {
		for _, suffix := range suffixes {
			if t, ok := strings.CutSuffix(s, suffix); ok && half == 0 {
				s, half = strings.TrimSpace(t), i+1
			}
		}
	}
	fields := strings.FieldsFunc(strings.TrimSuffix(s, "h"), func(r rune) bool { return r == ':' || r == 'h' || r == '.' && (half > 0 || hour) })
	if len(fields) < 1 || len(fields) > 3 || len(fields) == 1 && half == 0 && !hour && !strings.HasSuffix(s, "h") {
		return 0, false, ErrUnreadable
	}
	h, err := colonField(fields[0], 24)
	if err != nil || half > 0 && (h < 1 || h > 12) {
		return 0, false, ErrUnreadable
	}
	scale := 60.0
	minutes = h * 60
	if half > 0 {
		minutes = math.Mod(h, 12)*60 + float64(half-1)*720
	}
	for _, f := range fields[1:] {
		m, err := colonField(f, 59)
		if err != nil || len(f) != 2 {
			return 0, false, ErrUnreadable
		}
		scale /= 60
		minutes += m * scale
	}
	if minutes > 1440 {
		return 0, false, ErrUnreadable
	}
	return minutes, false, nil
}

// ToMinute takes the noise of binary day fractions off minutes.
func ToMinute(x float64) float64 { return math.Round(x*1e6) / 1e6 }
