package tables

// PlanOrder is what is to be expected of an order.
type PlanOrder struct {
	Form         string  `col:"form" doc:"Form wanted"`
	Pieces       Count   `col:"pieces" doc:"Good pieces wanted"`
	Due          Date    `col:"due" doc:"Day they must be cast by"`
	ChanceOnTime float64 `col:"chance_on_time" doc:"Chance that all pieces are there in time with the molds in hand"`
	ShortP90     Count   `col:"short_p90" doc:"In one run of ten more pieces than this are missing on the due day"`
	NewMolds     Count   `col:"new_molds" unit:"molds" doc:"New molds to pour so that the chance reaches the goal; 0 where none is needed, empty where none helps"`
	PourBy       Date    `col:"pour_by" doc:"Day by which they must be poured"`
	PlasterKg    float64 `col:"plaster_kg" unit:"kg" doc:"Plaster for the new molds"`
	SlipKg       float64 `col:"slip_kg" unit:"kg" doc:"Slip for the casts that the order is expected to take"`
	// later columns
	Order          Count   `col:"order" doc:"Number of the order, in the order of the sheet"`
	Start          Date    `col:"start" doc:"First day of casting"`
	StdError       float64 `col:"std_error" doc:"Standard error of the chance from simulating it"`
	ChanceWithNew  float64 `col:"chance_with_new" doc:"Chance with the new molds advised"`
	MoldsInHand    Count   `col:"molds_in_hand" unit:"molds" doc:"Molds of the form in use"`
	CastsP50       Count   `col:"casts_p50" unit:"casts" doc:"Casts that the order takes up to its due day, middle forecast"`
	FeasibleBy     Date    `col:"feasible_by" doc:"First due day that has a chance as high as the goal, with the new molds advised or, where none help in time, the most that can be poured; the due day itself where it is met"`
	WhyNot         string  `col:"why_not" doc:"Why there is no plan for the order, or why new molds do not help; empty where all is well"`
	ChanceAllAlone float64 `col:"chance_all_alone" doc:"Chance if the order had the studio to itself: no rule of sharing can give it more"`
}

func (PlanOrder) TableName() (string, string) { return "plan_orders", "one order" }

// PlanDay is a cast of the day sheet.
type PlanDay struct {
	Date       Date    `col:"date" doc:"Day of casting"`
	Mold       string  `col:"mold" doc:"Mold to fill"`
	CastNumber Count   `col:"cast_number" unit:"casts" doc:"Which cast of the mold's life it is, the first being 1"`
	DwellMin   float64 `col:"dwell_min" unit:"min" doc:"Dwell to use for the target wall at that age and wetness; empty without a fitted law or a target wall"`
	// later columns
	Form         string  `col:"form" doc:"Form that the mold makes"`
	Order        Count   `col:"order" doc:"Number of the order it is for"`
	OfDay        Count   `col:"of_day" doc:"Which filling of this mold on this day, the first being 1"`
	TargetWallMM float64 `col:"target_wall_mm" unit:"mm" doc:"Wet wall aimed for"`
	DwellLower90 float64 `col:"dwell_lower_90" unit:"min" doc:"Lower end of the 90 % interval of the dwell that the cast needs"`
	DwellUpper90 float64 `col:"dwell_upper_90" unit:"min" doc:"Upper end of the 90 % interval of the dwell that the cast needs"`
	ChanceMade   float64 `col:"chance_made" doc:"Chance that the mold comes to this cast by the due day and that it is still needed"`
	Spare        bool    `col:"spare" doc:"Whether the cast is held in reserve: made only if earlier ones fail"`
	NewMold      bool    `col:"new_mold" doc:"Whether the mold is one that the plan has poured first: its name here is only a stand-in"`
}

func (PlanDay) TableName() (string, string) { return "plan_days", "one cast of the day sheet" }

// PlanMix is what to mix for the new molds of a form and kind.
type PlanMix struct {
	Form         string  `col:"form" doc:"Form that the new molds make"`
	Kind         string  `col:"kind" doc:"Kind of mold to make"`
	Molds        Count   `col:"molds" unit:"molds" doc:"New molds to pour; a pour that fails is made again"`
	PourBy       Date    `col:"pour_by" doc:"Day by which all are poured"`
	ReadyBy      Date    `col:"ready_by" doc:"Day by which nine of ten are in service"`
	PlasterEach  float64 `col:"plaster_each_kg" unit:"kg" doc:"Plaster to mix for one mold"`
	WaterEach    float64 `col:"water_each_kg" unit:"kg" doc:"Water to mix for one mold"`
	PlasterKg    float64 `col:"plaster_kg" unit:"kg" doc:"Plaster for all of them"`
	WaterKg      float64 `col:"water_kg" unit:"kg" doc:"Water for all of them"`
	CostEach     float64 `col:"cost_each" unit:"currency" doc:"Plaster, water and labour of one mold, in the currency of the price list"`
	LifeP50      float64 `col:"life_p50" unit:"casts" doc:"Casts that a new mold of that kind makes, middle forecast"`
	ChanceFailed float64 `col:"chance_failed" doc:"Chance that a pour of one fails and has to be made again"`
	Basis        string  `col:"basis" doc:"Where the quantities come from"`
	PoursEach    float64 `col:"pours_each" doc:"Batches that one mold takes; mix the quantities of a mold in so many equal parts where it is above 1"`
}

func (PlanMix) TableName() (string, string) { return "plan_mix", "the new molds of one form and kind" }

// PlanWhatIf is an order under an alternative.
type PlanWhatIf struct {
	Alternative  string  `col:"alternative" doc:"What is done otherwise; as planned: nothing, with the molds in hand"`
	Order        Count   `col:"order" doc:"Number of the order"`
	Form         string  `col:"form" doc:"Form wanted"`
	Due          Date    `col:"due" doc:"Day the pieces must be cast by, under the alternative"`
	ChanceOnTime float64 `col:"chance_on_time" doc:"Chance that all pieces are there in time; empty where the alternative is not open to the order"`
	ShortP90     Count   `col:"short_p90" doc:"In one run of ten more pieces than this are missing on the due day"`
	Gain         float64 `col:"gain" doc:"Change of the chance against the plan, on the same draws"`
	GainStdError float64 `col:"gain_std_error" doc:"Standard error of the change of the chance"`
}

func (PlanWhatIf) TableName() (string, string) {
	return "plan_whatif", "one order under one alternative"
}

// PlanAssumed is a figure that the plan rests on.
type PlanAssumed struct {
	What  string  `col:"what" doc:"Which figure"`
	Of    string  `col:"of" doc:"Form, kind or mold that it holds for; empty for all"`
	Value float64 `col:"value" doc:"Figure; empty where words say it"`
	Unit  string  `col:"unit" doc:"Unit of the figure"`
	Words string  `col:"words" doc:"Figure in words, where a number does not say it"`
	Basis string  `col:"basis" doc:"Where the figure comes from: set, the form, the log, or common practice (no source)"`
}

func (PlanAssumed) TableName() (string, string) { return "plan_assumed", "one assumption of the plan" }
