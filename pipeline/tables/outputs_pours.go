package tables

// Mix is what to weigh for the volume that a pour needs.
type Mix struct {
	Pour         string  `col:"pour" doc:"Pour whose containment wall and model were measured"`
	NeededL      float64 `col:"needed_l" unit:"L" doc:"Volume to fill: within the containment wall, less the model, with the cover over it"`
	NeededLow80  float64 `col:"needed_lower_80" unit:"L" doc:"Lower end of the 80 % interval of the volume"`
	NeededHigh80 float64 `col:"needed_upper_80" unit:"L" doc:"Upper end of the 80 % interval of the volume"`
	Basis        string  `col:"basis" doc:"What tells the volume: gaps, model volume, or both"`
	Consistency  float64 `col:"consistency" doc:"Parts of water per 100 parts of plaster, by mass"`
	PlasterKg    float64 `col:"plaster_kg" unit:"kg" doc:"Plaster to weigh, without any allowance"`
	WaterKg      float64 `col:"water_kg" unit:"kg" doc:"Water to weigh"`
	PlasterLb    float64 `col:"plaster_lb" unit:"lb" doc:"Plaster to weigh in pounds, without any allowance"`
	WaterLb      float64 `col:"water_lb" unit:"lb" doc:"Water to weigh in pounds"`
	SetKg        float64 `col:"set_kg" unit:"kg" doc:"Mass of the mold just set"`
	DryKg        float64 `col:"dry_kg" unit:"kg" doc:"Mass of the mold when dry"`
}

func (Mix) TableName() (string, string) { return "mix", "one pour" }

// PourBalance is where the plaster of a pour went, kg of dry plaster.
type PourBalance struct {
	Pour               string  `col:"pour" doc:"Name of the pour"`
	MixedKg            float64 `col:"mixed_kg" unit:"kg" doc:"Plaster mixed: the sum of the seven masses after it"`
	InMoldKg           float64 `col:"in_mold_kg" unit:"kg" doc:"Plaster in a usable mold"`
	LeftoverKg         float64 `col:"leftover_kg" unit:"kg" doc:"Plaster left over, as weighed; 0 where it was not"`
	SpilledKg          float64 `col:"spilled_kg" unit:"kg" doc:"Plaster spilled or leaked, as weighed; 0 where it was not"`
	TrimmedKg          float64 `col:"trimmed_kg" unit:"kg" doc:"Plaster trimmed off, as weighed; 0 where it was not"`
	FailedKg           float64 `col:"failed_kg" unit:"kg" doc:"Plaster lost with a failed mold"`
	UnexplainedKg      float64 `col:"unexplained_kg" unit:"kg" doc:"What closes the balance: not weighed, or an error; negative where more is accounted for than was mixed"`
	UnexplainedLower80 float64 `col:"unexplained_lower_80" unit:"kg" doc:"Lower end of the 80 % interval of what is not explained"`
	UnexplainedUpper80 float64 `col:"unexplained_upper_80" unit:"kg" doc:"Upper end of the 80 % interval of what is not explained"`
	Known              string  `col:"known" doc:"What tells the balance: weighed, gaps, both, failed, or nothing"`
}

func (PourBalance) TableName() (string, string) { return "pour_balance", "one pour" }

// MoldMass is what a mold should weigh, so that weighing tells when it is dry.
type MoldMass struct {
	Mold        string  `col:"mold" doc:"Name of the mold; empty where the pour names none"`
	Pours       string  `col:"pours" doc:"The pours that made it"`
	SetKg       float64 `col:"set_kg" unit:"kg" doc:"Mass expected just after setting and trimming"`
	DryKg       float64 `col:"dry_kg" unit:"kg" doc:"Mass expected when dry"`
	DryLower80  float64 `col:"dry_lower_80" unit:"kg" doc:"Lower end of the 80 % interval of the dry mass"`
	DryUpper80  float64 `col:"dry_upper_80" unit:"kg" doc:"Upper end of the 80 % interval of the dry mass"`
	WeighedOn   Date    `col:"weighed_on" doc:"Day it was last weighed before a cast"`
	WeighedKg   float64 `col:"weighed_kg" unit:"kg" doc:"Mass when it was last weighed before a cast"`
	WaterKg     float64 `col:"water_kg" unit:"kg" doc:"Water that was still in it: the mass then less the dry mass"`
	WaterLow80  float64 `col:"water_lower_80" unit:"kg" doc:"Lower end of the 80 % interval of the water"`
	WaterHigh80 float64 `col:"water_upper_80" unit:"kg" doc:"Upper end of the 80 % interval of the water"`
	State       string  `col:"state" doc:"What the weighing tells: not weighed, dry, wet, lighter than it can be, or not all parts known"`
}

func (MoldMass) TableName() (string, string) { return "mold_mass", "one mold" }

// MoldCost is what the molds of a kind cost for each good cast.
type MoldCost struct {
	Kind               string  `col:"kind" doc:"Kind of mold, or all"`
	Molds              Count   `col:"molds" unit:"molds" doc:"Usable molds that the pours made"`
	Pours              Count   `col:"pours" doc:"Pours, the failed ones among them"`
	FailedPours        Count   `col:"failed_pours" doc:"Pours whose mold was of no use"`
	PlasterKg          float64 `col:"plaster_kg" unit:"kg" doc:"Plaster mixed for all of them"`
	GoodCasts          Count   `col:"good_casts" unit:"casts" doc:"Good casts of these molds in the log"`
	PlasterPerGoodCast float64 `col:"plaster_per_good_cast" unit:"kg" doc:"Plaster per good cast so far; that of failed molds is charged to the good ones"`
	CostPerGoodCast    float64 `col:"cost_per_good_cast" unit:"currency" doc:"Cost of the plaster per good cast so far, at the price in force on the day of each pour"`
	PlasterPerMold     float64 `col:"plaster_per_mold" unit:"kg" doc:"Plaster per usable mold; that of failed ones is charged to it"`
	CostPerMold        float64 `col:"cost_per_mold" unit:"currency" doc:"Cost of the plaster per usable mold"`
	GoodShare          float64 `col:"good_share" doc:"Good casts as a part of the casts of this kind whose result was logged"`
	LifeCasts          float64 `col:"life_casts" unit:"casts" doc:"Casts in the whole life of a mold of this kind: those made, and the middle forecast of those to come; the mean of the molds listed"`
	LifePlaster        float64 `col:"life_plaster_per_good_cast" unit:"kg" doc:"Plaster per good cast over a mold's whole life"`
	LifeCost           float64 `col:"life_cost_per_good_cast" unit:"currency" doc:"Cost of the plaster per good cast over the whole life of a mold"`
	SharedKg           float64 `col:"shared_kg" unit:"kg" doc:"Plaster of failed pours of no known kind that is charged to this kind beside plaster_kg, in proportion to the plaster poured for each kind"`
}

func (MoldCost) TableName() (string, string) { return "mold_cost", "one kind of mold" }
