package quantity

import "strings"

// monthNames are the names of the months by language, January first, without
// accents: wide and abbreviated forms after Unicode CLDR (from memory), the
// abbreviations only where they are not the beginning of the name. Austrian
// Jänner and Feber stand beside the German ones.
var monthNames = [][]string{
	strings.Fields("january february march april may june july august september october november december"),
	strings.Fields("januar februar marz april mai juni juli august september oktober november dezember"),
	strings.Fields("janner feber maerz april mai juni juli august september oktober november dezember"),
	strings.Fields("janvier fevrier mars avril mai juin juillet aout septembre octobre novembre decembre"),
	strings.Fields("enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre"),
	strings.Fields("gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre"),
	strings.Fields("januari februari maart april mei juni juli augustus september oktober november december"),
	strings.Fields("janeiro fevereiro marco abril maio junho julho agosto setembro outubro novembro dezembro"),
	strings.Fields("- - mrt - - - - - setiembre - - -"), // Dutch, Spanish
}

// weekdayNames are those of the same languages, without accents.
var weekdayNames = strings.Fields(`monday tuesday wednesday thursday friday saturday sunday
	montag dienstag mittwoch donnerstag freitag samstag sonnabend sonntag
	lundi mardi mercredi jeudi vendredi samedi dimanche
	lunes martes miercoles jueves viernes sabado domingo
	lunedi martedi mercoledi giovedi venerdi sabato domenica
	maandag dinsdag woensdag donderdag vrijdag zaterdag zondag
	segunda-feira terca-feira quarta-feira quinta-feira sexta-feira segunda terca quarta quinta sexta`)

// fillers are words between the parts of a date.
var fillers = strings.Fields("of the de del do di den der le el il")

var accents = strings.NewReplacer("ä", "a", "á", "a", "à", "a", "â", "a", "ã", "a", "é", "e", "è", "e", "ê", "e", "ë", "e", "í", "i", "ì", "i", "î", "i", "ï", "i",
	"ó", "o", "ò", "o", "ô", "o", "õ", "o", "ö", "o", "ú", "u", "ù", "u", "û", "u", "ü", "u", "ç", "c", "ñ", "n")

// MonthOf is the number, from 1, of the month that a word names: in English,
// German, French, Spanish, Italian, Dutch or Portuguese, written out or cut to
// three letters or more. It is 0 for any other word, and for a beginning that
// several months share, such as jui.
func MonthOf(word string) int {
	word = strings.TrimSuffix(accents.Replace(strings.ToLower(word)), ".")
	if len(word) < 3 {
		return 0
	}
	month := 0
	for _, names := range monthNames {
		for i, name := range names {
			switch {
			case word == name:
				return i + 1
			case !strings.HasPrefix(name, word) || month == i+1:
			case month > 0:
				return 0
			default:
				month = i + 1
			}
		}
	}
	return month
}

// isWeekday reports whether a word is the name of a weekday or its first two
// letters or more.
func isWeekday(word string) bool {
	word = strings.TrimSuffix(accents.Replace(strings.ToLower(word)), ".")
	if len(word) < 2 {
		return false
	}
	for _, name := range weekdayNames {
		if strings.HasPrefix(name, word) {
			return true
		}
	}
	return false
}
