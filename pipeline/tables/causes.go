package tables

// LifeCause is the share of a kind's molds that one cause has ended by an age.
type LifeCause struct {
	Kind         string  `col:"kind" doc:"Kind of mold"`
	Cause        string  `col:"cause" doc:"What ended the molds: worn, broken, too slow, another reason, or reason not given"`
	AgeCasts     Count   `col:"age_casts" unit:"casts" doc:"Mold age at which a mold of the kind ended"`
	Incidence    float64 `col:"incidence" doc:"Share of molds that this cause has ended by that age, causes competing (Aalen-Johansen)"`
	Lower95      float64 `col:"lower_95" doc:"Lower end of the 95 % interval of the incidence"`
	Upper95      float64 `col:"upper_95" doc:"Upper end of the 95 % interval of the incidence"`
	AtRisk       Count   `col:"at_risk" unit:"molds" doc:"Molds in view just before that age"`
	Ended        Count   `col:"ended" unit:"molds" doc:"Molds of those in view that this cause ended at that age"`
	FromAgeCasts Count   `col:"from_age_casts" unit:"casts" doc:"The shares are of molds that pass this age; 0: of all"`
}

func (LifeCause) TableName() (string, string) {
	return "life_causes", "one cause at one age of one kind of mold"
}
