package ingest

import (
	"strings"
	"sync"
)

// synonyms are the other names under which a column is known, by table and
// column. They are folded as headers are: case, punctuation and the words "the"
// and "of" don't count, mould is mold, and for names and codes a last word such
// as id, number, code or name may be left off. Common practice, no source.
var synonyms = map[string]string{
	"molds.form":             "shape|piece|product|design|ware",
	"molds.kind":             "type|mold kind|mold type|kind mold|type mold|construction",
	"molds.pour":             "plaster pour|batch|plaster batch|made in pour|from pour",
	"molds.in_service":       "in use since|in service since|in service from|service date|first use|first used|first cast|since|started",
	"molds.casts_before_log": "casts before|earlier casts|previous casts|prior casts|casts so far|casts already made|starting casts",
	"molds.status":           "state|condition",
	"molds.ended_on":         "ended|end date|date ended|end|retired on|date retired|broken on|out service",
	"molds.end_reason":       "reason|reason ended|reason end|why ended|end cause|reason retired|cause",

	"pours.pour":               "batch|plaster batch|pour batch|mix",
	"pours.date":               "day|pour date|date pour|date poured|poured|poured on|mixed on",
	"pours.maker":              "made by|poured by|mixed by|by|who|student|person|initials",
	"pours.class":              "course|group|section|account",
	"pours.plaster":            "dry plaster|plaster dry|plaster mixed|plaster used|plaster weight|plaster mass|plaster amount|weight plaster|amount plaster",
	"pours.water":              "water mixed|water used|water weight|water mass|water volume|water amount|weight water|amount water",
	"pours.shape":              "containment shape|shape containment|containment wall shape|shape containment wall|frame shape|box shape",
	"pours.inside_diameter":    "diameter|inner diameter|internal diameter|diameter inside|dia|inside dia",
	"pours.inside_length":      "length|inner length|internal length|length inside",
	"pours.inside_width":       "width|inner width|internal width|width inside",
	"pours.plaster_over_model": "cover|plaster cover|cover over model|plaster above model|depth over model|over model",
	"pours.model_volume":       "volume model|volume|model vol",
	"pours.leftover":           "left over|leftover slurry|leftover plaster|left over slurry|left in bucket|left|surplus|remainder|plaster left over|plaster leftover",
	"pours.spilled":            "spill|spilt|spillage|leak|leaked|spilled slurry|spilled plaster|plaster spilled|lost",
	"pours.trimmed":            "trim|trimmings|trimming|cut off|trimmed plaster|trimmed off|plaster trimmed|sawn off",
	"pours.outcome":            "result|how it went|how it ended",
	"pours.recipe":             "ratio|mix ratio|mixing ratio|consistency|water plaster|plaster water|water plaster ratio|plaster water ratio|water to plaster|plaster to water",
	"pours.note":               "notes|comment|comments|remark|remarks",

	"gaps.pour":   "batch|plaster batch",
	"gaps.height": "level|height above base|height above board|height above base board|measured at|at height",
	"gaps.gap":    "gaps|distance|clearance|gap to wall|gap to containment wall|model to wall|distance to wall|gap reading",

	"casts.cast":             "no|number|id|cast ref",
	"casts.date":             "day|cast date|date cast|casting date|cast on|date casting",
	"casts.time":             "time day|start time|start|time filled|filled at|clock|clock time|fill start",
	"casts.slip":             "slip batch|batch|batch slip|slip lot",
	"casts.dwell":            "dwell time|dwell minutes|soak|soak time|casting time|cast time|time in mold|standing time|time to drain|fill to drain|full to drain|drained after|time",
	"casts.wall":             "wall thickness|thickness|thickness wall|cast thickness|clay thickness|clay wall|wall reading|thickness reading|thk|wall thk|thick|wall thick",
	"casts.demold":           "demold time|time to demold|demold after|demolded after|release time|time to release",
	"casts.mold_mass":        "mold weight|weight mold|mass mold|mold wt",
	"casts.room_temperature": "temperature|temp|room temp|room|air temp|air temperature|temperature room|studio temperature|studio temp",
	"casts.room_humidity":    "humidity|rh|relative humidity|air humidity|humidity room|studio humidity",
	"casts.result":           "outcome|grade|quality",
	"casts.fault":            "defect|flaw|faults|defects|what was wrong|problem",
	"casts.note":             "notes|comment|comments|remark|remarks",
	"casts.age":              "mold age|age mold|age casts|casts so far|casts before|earlier casts|previous casts|prior casts|casts made|casts already made|cast no mold|cast number mold|cast count|mold cast no|mold cast number|n",
	"casts.form":             "shape|piece|product|design|ware",

	"slips.slip":             "slip batch|batch|batch slip|slip lot",
	"slips.date":             "day|slip date|mixed on|date mixed|mixed|adjusted on",
	"slips.specific_gravity": "sg|density|slip density|slip sg|gravity|litre weight|liter weight",
	"slips.temperature":      "temp|slip temperature|slip temp",
	"slips.recipe":           "formula|body|clay body|slip recipe",

	"forms.form":               "shape|piece|product|design|ware",
	"forms.target_wall":        "target thickness|target wall thickness|target wet wall|wanted wall|aim wall|wall target|wall",
	"forms.wall_tolerance":     "tolerance|wall tol|tol|plus minus",
	"forms.longest_dwell":      "max dwell|maximum dwell|dwell limit|longest dwell time|max dwell time|maximum dwell time|dwell max",
	"forms.casts_per_day":      "casts a day|max casts per day|daily casts|casts day",
	"forms.rest_hours":         "rest|rest time|rest between casts|rest after cast",
	"forms.pieces_per_kg_slip": "pieces per kg|pieces per kg of slip|pieces per lb|pieces per lb slip|pieces per slip|pieces from slip",
	"forms.drying_shrinkage":   "dry shrinkage|wet to dry|wet to dry shrinkage|shrinkage drying|shrinkage dry",
	"forms.firing_shrinkage":   "fired shrinkage|dry to fired|dry to fired shrinkage|shrinkage firing|shrinkage fired",
	"forms.target_fired_wall":  "target fired thickness|fired wall target|fired target wall|target wall fired|fired wall",

	"prices.item":  "what|material|product",
	"prices.unit":  "per|price unit|price per|unit price is for|pack|pack size",
	"prices.price": "cost|amount|unit price|unit cost|price per unit",
	"prices.from":  "from date|valid from|date|since|price from",

	"orders.form":   "shape|piece|product|design|item|ware",
	"orders.pieces": "quantity|qty|count|number|pieces wanted|wanted|ordered|amount|number pieces|pcs",
	"orders.due":    "due date|date due|deadline|needed by|due by|by|deliver by|delivery",
	"orders.start":  "start date|from|starts|begin|first day",
}

// headerUnits are synonyms that say the unit too.
var headerUnits = map[string]string{
	"forms.pieces_per_kg_slip|pieces per lb":      "/lb",
	"forms.pieces_per_kg_slip|pieces per lb slip": "/lb",
}

// onlyWithUnit are synonyms that mean the column only where a unit stands with
// them: Room °F is a temperature, Room alone a place.
var onlyWithUnit = map[string]bool{"casts.room_temperature|room": true}

// idWords may follow or be left off the name of a column of names and codes.
var idWords = []string{"id", "no", "number", "nr", "code", "name", "ref", "reference", "num"}

// positions may stand in place of the number of a reading.
var positions = []string{
	"n", "e", "s", "w", "ne", "nw", "se", "sw", "north", "east", "south", "west", "front", "back", "left", "right",
	"top", "middle", "bottom", "rim", "base", "foot", "belly", "shoulder", "a", "b", "c", "d",
}

// otherWords are the words that are read as one of a column's choices, by
// column; a column's own choices need no mention. Common practice, no source.
var otherWords = map[string]map[string]string{
	"kind": {
		"onepiece": "one-piece", "one piece": "one-piece", "1 piece": "one-piece", "drop": "one-piece", "single": "one-piece",
		"multipart": "multi-part", "multi part": "multi-part", "multi piece": "multi-part", "several parts": "multi-part",
		"split mold": "split", "cracked": "split", "sawn": "split",
	},
	"status": {
		"in service": "in use", "active": "in use", "used": "in use", "ok": "in use", "in production": "in use", "current": "in use",
		"ended": "retired", "scrapped": "retired", "out use": "retired", "out service": "retired", "discarded": "retired",
		"cracked": "broken",
	},
	"end_reason": {
		"worn out": "worn", "wear": "worn", "worn down": "worn", "too slow": "slow", "slow casting": "slow",
		"lost detail": "detail", "detail lost": "detail", "loss detail": "detail", "cracked": "broken", "broke": "broken", "dropped": "broken", "chip": "chipped",
	},
	"shape": {"circular": "round", "circle": "round", "cylinder": "round", "rectangle": "rectangular", "square": "rectangular", "box": "rectangular"},
	"outcome": {
		"ok": "good", "fine": "good", "g": "good", "success": "good", "ran short": "short", "too little": "short", "leak": "leaked",
		"cut thru": "cut through", "sawn through": "cut through", "broke": "broke badly", "bad break": "broke badly", "broken badly": "broke badly",
		"bubble": "bubbles", "air bubbles": "bubbles", "pinholes": "bubbles",
	},
	"result": {
		"ok": "good", "okay": "good", "fine": "good", "g": "good", "first": "good", "1st": "good", "firsts": "good", "pass": "good", "passed": "good",
		"2nd": "second", "seconds": "second", "2nds": "second", "imperfect": "second",
		"scrap": "reject", "scrapped": "reject", "rejected": "reject", "bin": "reject", "binned": "reject", "fail": "reject", "failed": "reject",
		"discard": "reject", "discarded": "reject", "thrown away": "reject", "waste": "reject", "loss": "reject", "lost": "reject",
	},
	"item": {
		"plaster powder": "plaster", "pottery plaster": "plaster", "casting slip": "slip", "clay slip": "slip", "waste disposal": "disposal",
		"labor": "labour", "work": "labour", "wages": "labour", "tipping": "disposal", "waste": "disposal", "skip": "disposal",
	},
}

// choiceWords is otherWords by column and folded word.
var choiceWords = sync.OnceValue(func() map[string]string {
	index := map[string]string{}
	for column, words := range otherWords {
		for word, choice := range words {
			index[column+"|"+strings.Join(fold(word), " ")] = choice
		}
	}
	return index
})
