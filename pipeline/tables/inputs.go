package tables

// The input tables. Values are kept in the unit of the tag, whatever the
// spreadsheet used; absent values as Absent, NoCount, NoDate or "".

// Mold is a row of the molds table.
type Mold struct {
	Origin
	Mold           string `col:"mold" kind:"id" need:"required" doc:"Your name or number for the mold, the same on every sheet"`
	Form           string `col:"form" kind:"id" need:"required" doc:"The form (shape) that it makes"`
	Kind           string `col:"kind" kind:"choice" choices:"split|one-piece|multi-part" doc:"How the mold is made; split: poured solid, part-sawn and cracked in two"`
	Pour           string `col:"pour" kind:"id" doc:"The pour that made it"`
	InService      Date   `col:"in_service" kind:"date" doc:"First day in use"`
	CastsBeforeLog Count  `col:"casts_before_log" kind:"count" unit:"casts" doc:"Casts it had made before this log begins"`
	Status         string `col:"status" kind:"choice" choices:"in use|retired|broken" doc:"What it is today"`
	EndedOn        Date   `col:"ended_on" kind:"date" doc:"Day it was retired or broke"`
	EndReason      string `col:"end_reason" kind:"choice" choices:"worn|slow|detail|broken|chipped|other" doc:"Why it was ended"`
}

func (Mold) TableName() (string, string) { return "molds", "one plaster mold" }

// Bases of a weighed leftover, spilled or trimmed mass, and of a wall.
const (
	AsWeighed = "as weighed"  // slurry, or set plaster for trimmings
	AsDry     = "dry plaster" // already counted as dry plaster
	WallWet   = "wet"
	WallDry   = "dry"
	WallFired = "fired"
)

// Pour is a row of the pours table.
type Pour struct {
	Origin
	Pour             string  `col:"pour" kind:"id" need:"required" doc:"Your name or number for the pour"`
	Date             Date    `col:"date" kind:"date" need:"required" doc:"Day of the pour"`
	Mold             string  `col:"mold" kind:"id" doc:"The mold it was to make"`
	Maker            string  `col:"maker" kind:"id" doc:"Who mixed and poured, as a code"`
	Class            string  `col:"class" kind:"id" doc:"The class or account it belongs to"`
	PlasterKg        float64 `col:"plaster" kind:"mass" unit:"kg" need:"required" doc:"Dry plaster mixed"`
	WaterKg          float64 `col:"water" kind:"mass" unit:"kg" need:"required" doc:"Water mixed"`
	Shape            string  `col:"shape" kind:"choice" choices:"round|rectangular" doc:"Shape inside the containment wall"`
	InsideDiameterMM float64 `col:"inside_diameter" kind:"length" unit:"mm" doc:"Inside diameter of a round containment wall"`
	InsideLengthMM   float64 `col:"inside_length" kind:"length" unit:"mm" doc:"Inside length of a rectangular containment wall"`
	InsideWidthMM    float64 `col:"inside_width" kind:"length" unit:"mm" doc:"Inside width of a rectangular containment wall"`
	PlasterOverModel float64 `col:"plaster_over_model" kind:"length" unit:"mm" doc:"Depth of plaster over the top of the model"`
	ModelVolumeL     float64 `col:"model_volume" kind:"volume" unit:"L" doc:"Volume of the model, if measured directly"`
	LeftoverKg       float64 `col:"leftover" kind:"mass" unit:"kg" doc:"Slurry left in the bucket, as weighed"`
	LeftoverBasis    string  `col:"leftover_basis" doc:"What the leftover was weighed as: slurry as weighed, or dry plaster"`
	SpilledKg        float64 `col:"spilled" kind:"mass" unit:"kg" doc:"Slurry spilled or leaked, as weighed"`
	SpilledBasis     string  `col:"spilled_basis" doc:"What the spill was weighed as: slurry as weighed, or dry plaster"`
	TrimmedKg        float64 `col:"trimmed" kind:"mass" unit:"kg" doc:"Set plaster cut off the mold, as weighed fresh"`
	TrimmedBasis     string  `col:"trimmed_basis" doc:"What the trimmings were weighed as: set plaster as weighed, or dry plaster"`
	Outcome          string  `col:"outcome" kind:"choice" choices:"good|short|leaked|cut through|broke badly|bubbles|other" doc:"How the pour ended"`
	Note             string  `col:"note" kind:"text" doc:"Anything else"`
	Recipe           string  `col:"recipe" kind:"text" doc:"The mix that was asked for: parts of water to 100 parts of plaster by mass, such as 70; 100:70 is read too"`
}

func (Pour) TableName() (string, string) { return "pours", "one batch of plaster mixed and poured" }

// Gap is a row of the gaps table.
type Gap struct {
	Origin
	Pour     string    `col:"pour" kind:"id" need:"required" doc:"The pour that was measured"`
	HeightMM float64   `col:"height" kind:"length" unit:"mm" need:"required" doc:"Height above the base board"`
	GapsMM   []float64 `col:"gap" kind:"lengths" unit:"mm" need:"required" doc:"Horizontal distance from model to containment wall; gap_1, gap_2 … going round the model"`
}

func (Gap) TableName() (string, string) { return "gaps", "one measured height of one pour" }

// Cast is a row of the casts table. WallMM may be absent in a row whose wall
// or dwell could not be used: the cast still counts towards its mold's age.
type Cast struct {
	Origin
	Cast         string    `col:"cast" kind:"id" doc:"Your number for the cast"`
	Date         Date      `col:"date" kind:"date" need:"required" doc:"Day of casting"`
	TimeMin      float64   `col:"time" kind:"clock" unit:"min" doc:"Time of day when the mold was filled"`
	Mold         string    `col:"mold" kind:"id" need:"required" doc:"The mold that was filled"`
	Slip         string    `col:"slip" kind:"id" doc:"The batch of slip"`
	DwellMin     float64   `col:"dwell" kind:"duration" unit:"min" need:"required" doc:"Time from full mold to draining"`
	WallsMM      []float64 `col:"wall" kind:"lengths" unit:"mm" need:"required" doc:"Thickness of the wet clay wall at draining; wall_1, wall_2 … for several readings"`
	WallBasis    string    `col:"wall_basis" doc:"What state the wall was measured in: wet, dry or fired"`
	DemoldMin    float64   `col:"demold" kind:"duration" unit:"min" doc:"Time from draining to taking the piece out"`
	MoldMassKg   float64   `col:"mold_mass" kind:"mass" unit:"kg" doc:"Mass of the mold before filling"`
	RoomC        float64   `col:"room_temperature" kind:"temperature" unit:"°C" doc:"Room temperature"`
	RoomHumidity float64   `col:"room_humidity" kind:"share" doc:"Relative humidity of the room"`
	Result       string    `col:"result" kind:"choice" choices:"good|second|reject" doc:"What became of the piece"`
	Fault        string    `col:"fault" kind:"text" doc:"What was wrong with a second or reject"`
	Note         string    `col:"note" kind:"text" doc:"Anything else"`
	Age          Count     `col:"age" kind:"count" unit:"casts" doc:"Casts that the mold had made before this one, if you count them"`
	Form         string    `col:"form" kind:"id" doc:"The form cast, for molds that no molds sheet lists"`
}

func (Cast) TableName() (string, string) { return "casts", "one filling of a mold with slip" }

// WallMM is the mean of the wall readings in mm, absent where there are none.
func (c Cast) WallMM() float64 {
	if len(c.WallsMM) == 0 {
		return Absent()
	}
	var sum float64
	for _, w := range c.WallsMM {
		sum += w
	}
	return sum / float64(len(c.WallsMM))
}

// Slip is a row of the slips table.
type Slip struct {
	Origin
	Slip            string  `col:"slip" kind:"id" need:"required" doc:"Your name for the batch of slip"`
	Date            Date    `col:"date" kind:"date" doc:"Day it was mixed or adjusted"`
	SpecificGravity float64 `col:"specific_gravity" kind:"number" doc:"Mass of the slip against the same volume of water"`
	TemperatureC    float64 `col:"temperature" kind:"temperature" unit:"°C" doc:"Temperature of the slip"`
	Recipe          string  `col:"recipe" kind:"id" doc:"Recipe it was made by"`
}

func (Slip) TableName() (string, string) { return "slips", "one batch of slip" }

// Form is a row of the forms table.
type Form struct {
	Origin
	Form              string  `col:"form" kind:"id" need:"required" doc:"Your name for the form"`
	TargetWallMM      float64 `col:"target_wall" kind:"length" unit:"mm" doc:"Wet wall you aim for"`
	WallToleranceMM   float64 `col:"wall_tolerance" kind:"length" unit:"mm" doc:"How far off is still good"`
	LongestDwellMin   float64 `col:"longest_dwell" kind:"duration" unit:"min" doc:"Longest dwell you accept; a mold that needs more is too slow"`
	CastsPerDay       float64 `col:"casts_per_day" kind:"number" unit:"1/d" doc:"Most casts of one mold in a day"`
	RestHours         float64 `col:"rest_hours" kind:"duration" unit:"h" doc:"Rest between two casts of one mold"`
	PiecesPerKgSlip   float64 `col:"pieces_per_kg_slip" kind:"number" unit:"1/kg" doc:"Pieces made from a kilogram of slip"`
	DryingShrinkage   float64 `col:"drying_shrinkage" kind:"share" doc:"Linear shrinkage from wet to dry"`
	FiringShrinkage   float64 `col:"firing_shrinkage" kind:"share" doc:"Linear shrinkage from dry to fired"`
	TargetFiredWallMM float64 `col:"target_fired_wall" kind:"length" unit:"mm" doc:"Fired wall you aim for, if you don't give a wet one"`
}

func (Form) TableName() (string, string) { return "forms", "one form (shape)" }

// Price is a row of the prices table.
type Price struct {
	Origin
	Item  string  `col:"item" kind:"choice" choices:"plaster|slip|water|disposal|labour" need:"required" doc:"What is paid for"`
	Unit  string  `col:"unit" kind:"text" need:"required" doc:"What the price is for: kg, lb, 25 kg bag, 50 lb bag, L, hour"`
	Price float64 `col:"price" kind:"number" need:"required" doc:"Price of one unit, in your currency"`
	From  Date    `col:"from" kind:"date" doc:"First day the price holds"`
}

func (Price) TableName() (string, string) { return "prices", "a price from a day on" }

// Order is a row of the orders table.
type Order struct {
	Origin
	Form   string `col:"form" kind:"id" need:"required" doc:"The form wanted"`
	Pieces Count  `col:"pieces" kind:"count" need:"required" doc:"Good pieces wanted"`
	Due    Date   `col:"due" kind:"date" need:"required" doc:"Day they must be cast by"`
	Start  Date   `col:"start" kind:"date" doc:"First day of casting"`
}

func (Order) TableName() (string, string) { return "orders", "pieces of one form wanted by a day" }

// From tells where the row was read.
func (o Origin) From() Origin { return o }
