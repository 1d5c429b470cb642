package tables

// The result tables. Column names and their order are a contract with those who
// read tables/*.csv and tables/*.parquet: add columns only at the end.

// WallFit is a coefficient of a fitted wall model.
type WallFit struct {
	Model    string  `col:"model" doc:"Candidate law; the chosen one is marked"`
	Term     string  `col:"term" doc:"Fixed effect, or standard deviation of a random effect"`
	Estimate float64 `col:"estimate" doc:"Estimate on the log scale of mm and min"`
	StdError float64 `col:"std_error" doc:"Standard error of the estimate"`
	Lower95  float64 `col:"lower_95" doc:"Lower end of the 95 % interval of the estimate"`
	Upper95  float64 `col:"upper_95" doc:"Upper end of the 95 % interval of the estimate"`
}

func (WallFit) TableName() (string, string) { return "wall_fit", "one term of one wall model" }

// MoldState is what a mold is today.
type MoldState struct {
	Mold            string  `col:"mold" doc:"Name of the mold"`
	Form            string  `col:"form" doc:"Form that it makes"`
	Kind            string  `col:"kind" doc:"Kind of mold"`
	Status          string  `col:"status" doc:"What the mold is: in use, retired or broken"`
	AgeCasts        Count   `col:"age_casts" unit:"casts" doc:"Casts made so far"`
	RateMM2PerMin   float64 `col:"rate_mm2_per_min" unit:"mm²/min" doc:"Casting rate k today, at the usual dwell"`
	WearPerCast     float64 `col:"wear_per_cast" unit:"1/cast" doc:"Fractional loss of wall at one dwell, per cast"`
	WearLower95     float64 `col:"wear_lower_95" unit:"1/cast" doc:"Lower end of the 95 % interval of the wear"`
	WearUpper95     float64 `col:"wear_upper_95" unit:"1/cast" doc:"Upper end of the 95 % interval of the wear"`
	UsualDwellMin   float64 `col:"usual_dwell_min" unit:"min" doc:"Median dwell of its last casts"`
	NextWallMM      float64 `col:"next_wall_mm" unit:"mm" doc:"Wall expected at the usual dwell of the next cast"`
	NextWallLower90 float64 `col:"next_wall_lower_90" unit:"mm" doc:"Lower end of the 90 % prediction interval"`
	NextWallUpper90 float64 `col:"next_wall_upper_90" unit:"mm" doc:"Upper end of the 90 % prediction interval"`
}

func (MoldState) TableName() (string, string) { return "mold_state", "one mold today" }

// DwellGuide is a dwell to use for a mold at an age.
type DwellGuide struct {
	Mold         string  `col:"mold" doc:"Name of the mold"`
	AgeCasts     Count   `col:"age_casts" unit:"casts" doc:"Casts made before this one"`
	TargetWallMM float64 `col:"target_wall_mm" unit:"mm" doc:"Wet wall aimed for"`
	DwellMin     float64 `col:"dwell_min" unit:"min" doc:"Dwell to use"`
	DwellLower90 float64 `col:"dwell_lower_90" unit:"min" doc:"Lower end of the 90 % interval of the dwell that the next cast needs"`
	DwellUpper90 float64 `col:"dwell_upper_90" unit:"min" doc:"Upper end of the 90 % interval of the dwell that the next cast needs"`
	// later columns: the law of this mold at this age, dwell = a·wall^power + b·wall
	LawA        float64 `col:"law_a" unit:"min/mm^power" doc:"First factor a of the law of this mold at this age: dwell = a·wall^power + b·wall, wall in mm, dwell in min"`
	LawPower    float64 `col:"law_power" doc:"Power of wall in that law"`
	LawB        float64 `col:"law_b" unit:"min/mm" doc:"Second factor b of that law: the resistance of the mold itself"`
	SpreadLower float64 `col:"spread_lower_90" doc:"How far the log of the wall may lie above the law: the dwell's lower end is dwell·exp(−spread/elasticity), the elasticity being (a·wall^power + b·wall)/(power·a·wall^power + b·wall)"`
	SpreadUpper float64 `col:"spread_upper_90" doc:"How far the log of the wall may lie below the law, for the dwell's upper end"`
}

func (DwellGuide) TableName() (string, string) { return "dwell_guide", "one mold at one coming age" }

// RemainingCasts is the forecast of a mold in service.
type RemainingCasts struct {
	Mold         string  `col:"mold" doc:"Name of the mold"`
	Form         string  `col:"form" doc:"Form that it makes"`
	Kind         string  `col:"kind" doc:"Kind of mold"`
	AgeCasts     Count   `col:"age_casts" unit:"casts" doc:"Casts made so far"`
	RemainingP10 float64 `col:"remaining_p10" unit:"casts" doc:"One mold in ten makes no more than this many further casts"`
	RemainingP50 float64 `col:"remaining_p50" unit:"casts" doc:"Middle forecast: the mold is as likely to make more further casts as to make fewer"`
	RemainingP90 float64 `col:"remaining_p90" unit:"casts" doc:"One mold in ten makes more than this many further casts"`
	Survive5     float64 `col:"survive_5" doc:"Chance to make 5 more casts"`
	Survive10    float64 `col:"survive_10" doc:"Chance to make 10 more casts"`
	Survive20    float64 `col:"survive_20" doc:"Chance to make 20 more casts"`
	LikelyCause  string  `col:"likely_cause" doc:"Most likely end: too slow, worn or broken, or too many faults"`
	Basis        string  `col:"basis" doc:"What the forecast rests on"`
	// later columns
	ChanceSlow      float64 `col:"chance_slow" doc:"Chance that it will end too slow"`
	ChanceWorn      float64 `col:"chance_worn" doc:"Chance that it will end worn or broken"`
	ChanceFaults    float64 `col:"chance_faults" doc:"Chance that it will end with too many faults; with the two before it 1"`
	ChancePastLimit float64 `col:"chance_past_limit" doc:"Chance that, rested, it needs a longer dwell than its form allows today; empty without a wall path"`
}

func (RemainingCasts) TableName() (string, string) {
	return "remaining_casts", "one mold in service"
}

// LifeFit is the distribution of lives of a kind of mold.
type LifeFit struct {
	Kind        string  `col:"kind" doc:"Kind of mold"`
	Shape       float64 `col:"shape" doc:"Weibull shape"`
	Scale       float64 `col:"scale" unit:"casts" doc:"Weibull scale (63 % have ended by then)"`
	ShapeSE     float64 `col:"shape_se" doc:"Standard error of the shape"`
	ScaleSE     float64 `col:"scale_se" unit:"casts" doc:"Standard error of the scale"`
	Ended       Count   `col:"ended" unit:"molds" doc:"Molds that ended worn or broken"`
	InUse       Count   `col:"in_use" unit:"molds" doc:"Molds still in use, or ended for another reason (censored)"`
	PriorWeight float64 `col:"prior_weight" doc:"Share of the information on the scale that comes from common practice"`
	// later columns
	ShapeLower95  float64 `col:"shape_lower_95" doc:"Lower end of the 95 % profile interval of the shape"`
	ShapeUpper95  float64 `col:"shape_upper_95" doc:"Upper end of the 95 % profile interval of the shape"`
	ScaleLower95  float64 `col:"scale_lower_95" unit:"casts" doc:"Lower end of the 95 % profile interval of the scale"`
	ScaleUpper95  float64 `col:"scale_upper_95" unit:"casts" doc:"Upper end of the 95 % profile interval of the scale"`
	MedianLife    float64 `col:"median_life" unit:"casts" doc:"Age by which half of the molds have ended worn or broken"`
	MedianLower95 float64 `col:"median_lower_95" unit:"casts" doc:"Lower end of the 95 % profile interval of the median life"`
	MedianUpper95 float64 `col:"median_upper_95" unit:"casts" doc:"Upper end of the 95 % profile interval of the median life"`
	PriorScale    float64 `col:"prior_scale" unit:"casts" doc:"Scale by common practice alone, no source"`
	DataShape     float64 `col:"data_shape" doc:"Shape by the log alone; empty where it does not tell"`
	DataScale     float64 `col:"data_scale" unit:"casts" doc:"Scale by the log alone; empty where it does not tell"`
	PoolWeight    float64 `col:"pool_weight" doc:"Share of the information on the scale that comes from the studio's other kinds; what it and prior_weight leave to 1 is the kind's own"`
}

func (LifeFit) TableName() (string, string) { return "life_fit", "one kind of mold" }

// Watch is a mold on the watch list, flagged or not.
type Watch struct {
	Mold            string  `col:"mold" doc:"Name of the mold"`
	Flagged         bool    `col:"flagged" doc:"Whether it is wearing out early"`
	SinceAgeCasts   Count   `col:"since_age_casts" unit:"casts" doc:"Age at which the change began"`
	Evidence        string  `col:"evidence" doc:"Which evidence speaks"`
	ChanceFastWear  float64 `col:"chance_fast_wear" doc:"Chance that its wear exceeds 1.5 times its kind's"`
	FalseAlarmCasts float64 `col:"false_alarm_casts" unit:"casts" doc:"A healthy mold is flagged falsely no more than once in so many casts, by all evidence together"`
	// later columns
	RejectEvidence string `col:"reject_evidence" doc:"What its rejects say; empty where no result was logged"`
	DoNext         string `col:"do_next" doc:"What to do with a flagged mold"`
}

func (Watch) TableName() (string, string) { return "watch", "one mold with measured casts" }

// Hindcast is how often an interval of a past forecast held what came.
type Hindcast struct {
	What      string  `col:"what" doc:"What was forecast: wall or remaining_casts"`
	Level     float64 `col:"level" doc:"Share of the truth that the interval should hold"`
	Forecasts Count   `col:"forecasts" doc:"Forecasts whose truth is known"`
	Held      Count   `col:"held" doc:"Forecasts whose interval held the truth"`
	Share     float64 `col:"share" doc:"Held as a part of the forecasts"`
	// later columns
	StdError  float64 `col:"std_error" doc:"Standard error of the share; it allows for molds that fare alike at several dates"`
	Factor    float64 `col:"factor" doc:"What today's intervals of this level are widened by; 1: they stand as forecast"`
	Loss      float64 `col:"loss" doc:"Mean pinball loss of the 10, 50 and 90 % points, in mm or casts"`
	Rival     float64 `col:"rival_loss" doc:"Mean pinball loss of the plain rival: the last wall unchanged, or the mean life of the kind less the age"`
	Undecided Count   `col:"undecided" doc:"Forecasts left out because the log does not tell yet whether the interval held"`
}

func (Hindcast) TableName() (string, string) {
	return "hindcast", "one level of the intervals of one kind of forecast"
}

// PourWaste is the mass balance of a pour, as dry plaster.
type PourWaste struct {
	Pour         string  `col:"pour" doc:"Name of the pour"`
	Date         Date    `col:"date" doc:"Day of the pour"`
	Class        string  `col:"class" doc:"Class or account of the pour"`
	Maker        string  `col:"maker" doc:"Who mixed and poured"`
	PlasterKg    float64 `col:"plaster_kg" unit:"kg" doc:"Dry plaster mixed"`
	NeededKg     float64 `col:"needed_kg" unit:"kg" doc:"Dry plaster that the measured gaps call for"`
	InMoldKg     float64 `col:"in_mold_kg" unit:"kg" doc:"Dry plaster in a usable mold"`
	WasteKg      float64 `col:"waste_kg" unit:"kg" doc:"Dry plaster in no usable mold"`
	WasteLower80 float64 `col:"waste_lower_80" unit:"kg" doc:"Lower end of the 80 % interval of the waste"`
	WasteUpper80 float64 `col:"waste_upper_80" unit:"kg" doc:"Upper end of the 80 % interval of the waste"`
	MainCause    string  `col:"main_cause" doc:"Largest part of the waste"`
	Cost         float64 `col:"cost" unit:"currency" doc:"Cost of the waste, in the currency of the price list"`
	// later columns
	LeftoverKg    float64 `col:"leftover_kg" unit:"kg" doc:"Dry plaster left over"`
	SpilledKg     float64 `col:"spilled_kg" unit:"kg" doc:"Dry plaster spilled or leaked"`
	TrimmedKg     float64 `col:"trimmed_kg" unit:"kg" doc:"Dry plaster trimmed off"`
	FailedKg      float64 `col:"failed_kg" unit:"kg" doc:"Dry plaster lost with a failed mold"`
	UnexplainedKg float64 `col:"unexplained_kg" unit:"kg" doc:"Waste that no weighed part explains, so that the parts add to the waste; negative where more is accounted for than was mixed"`
	Consistency   float64 `col:"consistency" doc:"Parts of water per 100 parts of plaster, by mass"`
}

func (PourWaste) TableName() (string, string) { return "pour_waste", "one pour" }

// WasteBy is the waste of a group of pours.
type WasteBy struct {
	Group           string  `col:"group" doc:"What the pours are grouped by: cause, class, maker, form, kind, month, term, all"`
	Value           string  `col:"value" doc:"Which group: the name of the cause, class, maker, form, kind, month or term"`
	Pours           Count   `col:"pours" doc:"Pours in the group"`
	PlasterKg       float64 `col:"plaster_kg" unit:"kg" doc:"Dry plaster mixed"`
	WasteKg         float64 `col:"waste_kg" unit:"kg" doc:"Dry plaster in no usable mold"`
	WasteShare      float64 `col:"waste_share" doc:"Waste as a part of the plaster mixed"`
	Cost            float64 `col:"cost" unit:"currency" doc:"Cost of the waste"`
	CostPerGoodCast float64 `col:"cost_per_good_cast" unit:"currency" doc:"Cost of all plaster of the group per good piece its molds made"`
	// later columns
	ShrunkShare float64 `col:"shrunk_share" doc:"Waste share to expect of the group: the fewer its pours, the more it leans on all groups"`
	Lower80     float64 `col:"lower_80" doc:"Lower end of the 80 % interval of the waste share to expect"`
	Upper80     float64 `col:"upper_80" doc:"Upper end of the 80 % interval of the waste share to expect"`
	UsualLower  float64 `col:"usual_lower" doc:"Least waste share that so many pours have by ordinary scatter"`
	UsualUpper  float64 `col:"usual_upper" doc:"Largest waste share that so many pours have by ordinary scatter"`
	Verdict     string  `col:"verdict" doc:"Whether the waste share is usual, above usual or below usual; empty where there is nothing to compare with"`
}

func (WasteBy) TableName() (string, string) { return "waste_by", "one group of pours" }

// Overmix is the advice on how much more to mix than estimated.
type Overmix struct {
	Form                string  `col:"form" doc:"Form that the pours make molds of"`
	EstimateErrorSD     float64 `col:"estimate_error_sd" doc:"Standard deviation of the log of plaster used against plaster the gaps call for"`
	AdvisedOvermixShare float64 `col:"advised_overmix_share" doc:"Mix this share more than the gaps call for"`
	ChanceShort         float64 `col:"chance_short" doc:"Chance that the pour is short all the same"`
}

func (Overmix) TableName() (string, string) { return "overmix", "one form" }

// CutDepth is how deep to saw a split mold at a height.
type CutDepth struct {
	Pour     string  `col:"pour" doc:"Name of the pour"`
	HeightMM float64 `col:"height_mm" unit:"mm" doc:"Height above the base board"`
	GapMM    float64 `col:"gap_mm" unit:"mm" doc:"Smallest measured gap at that height"`
	CutMM    float64 `col:"cut_mm" unit:"mm" doc:"Deepest saw cut: two thirds of the gap, and never nearer the model than the margin"`
}

func (CutDepth) TableName() (string, string) { return "cut_depth", "one height of one pour" }

// Budget is a class's plaster in a coming period.
type Budget struct {
	Class        string  `col:"class" doc:"Class or account, or all"`
	Period       string  `col:"period" doc:"First and last day of the coming period"`
	PlasterKgP50 float64 `col:"plaster_kg_p50" unit:"kg" doc:"Plaster needed, middle forecast"`
	PlasterKgP10 float64 `col:"plaster_kg_p10" unit:"kg" doc:"Plaster needed, lower end of the 80 % interval"`
	PlasterKgP90 float64 `col:"plaster_kg_p90" unit:"kg" doc:"Plaster needed, upper end of the 80 % interval"`
	Bags         Count   `col:"bags" unit:"bags" doc:"Bags to buy so that the plaster lasts in nine terms of ten"`
	CostP50      float64 `col:"cost_p50" unit:"currency" doc:"Cost of the middle forecast"`
	// later columns
	CostP10         float64 `col:"cost_p10" unit:"currency" doc:"Cost of the lower end of the 80 % interval"`
	CostP90         float64 `col:"cost_p90" unit:"currency" doc:"Cost of the upper end of the 80 % interval"`
	PoursP10        float64 `col:"pours_p10" doc:"Pours, lower end of the 80 % interval"`
	PoursP50        float64 `col:"pours_p50" doc:"Pours, middle forecast"`
	PoursP90        float64 `col:"pours_p90" doc:"Pours, upper end of the 80 % interval"`
	CostPerGoodCast float64 `col:"cost_per_good_cast" unit:"currency" doc:"Cost of the class's plaster of the log at the price budgeted, per good piece that its molds have made so far"`
	Basis           string  `col:"basis" doc:"What the figures rest on: planned, or forecast from the log"`
	BagsCost        float64 `col:"bags_cost" unit:"currency" doc:"Cost of the bags to buy, at the price in force on the day of the report"`
}

func (Budget) TableName() (string, string) { return "budget", "one class in the coming period" }

// CastUsed is a cast that the wall model was fitted to.
type CastUsed struct {
	File      string  `col:"file" doc:"File it was read from"`
	Sheet     string  `col:"sheet" doc:"Sheet it was read from"`
	Row       Count   `col:"row" doc:"Row of the sheet"`
	Mold      string  `col:"mold" doc:"Name of the mold"`
	Date      Date    `col:"date" doc:"Day of casting"`
	AgeCasts  Count   `col:"age_casts" unit:"casts" doc:"Casts the mold made before"`
	DwellMin  float64 `col:"dwell_min" unit:"min" doc:"Dwell of the cast"`
	WallMM    float64 `col:"wall_mm" unit:"mm" doc:"Measured wet wall"`
	FittedMM  float64 `col:"fitted_mm" unit:"mm" doc:"Wall by the fitted law"`
	ResidualZ float64 `col:"residual_z" doc:"Residual on the log scale, in residual standard deviations"`
	Weight    float64 `col:"weight" doc:"Weight in the fit; below 1 where the wall is far off, as after a typing error"`
}

func (CastUsed) TableName() (string, string) { return "casts_used", "one cast in the wall fit" }

// Severities of a problem.
const (
	SetAside     = "row set aside"  // the row is not used for what it was logged for
	ValueIgnored = "value not used" // one optional value is missing, the row is used
	Notice       = "note"           // all is used; something was inferred or looks odd
)

// Problem is something in the inputs that was not used as it stands.
type Problem struct {
	File     string `col:"file" doc:"File where the problem stands"`
	Sheet    string `col:"sheet" doc:"Sheet where the problem stands"`
	Cell     string `col:"cell" doc:"Cell, or row where the whole row is meant"`
	Code     string `col:"code" doc:"Code of the problem"`
	Severity string `col:"severity" doc:"What becomes of it: row set aside, value not used, or note"`
	Value    string `col:"value" doc:"The value as read"`
	Message  string `col:"message" doc:"What is wrong"`
	Mend     string `col:"mend" doc:"How to mend it"`
}

func (Problem) TableName() (string, string) { return "problems", "one problem in the inputs" }
