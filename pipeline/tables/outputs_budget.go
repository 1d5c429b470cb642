package tables

// BudgetWhatIf is what the coming period's plaster would be after a change.
type BudgetWhatIf struct {
	Change       string  `col:"change" doc:"What would be done otherwise"`
	PlasterKg    float64 `col:"plaster_kg" unit:"kg" doc:"Plaster of the coming period after the change, middle forecast"`
	SavedKg      float64 `col:"saved_kg" unit:"kg" doc:"Plaster saved, middle forecast; negative where the change takes more"`
	Cost         float64 `col:"cost" unit:"currency" doc:"Cost of the plaster after the change"`
	SavedCost    float64 `col:"saved_cost" unit:"currency" doc:"Cost of the plaster saved; labour not counted"`
	SavedLower80 float64 `col:"saved_lower_80" unit:"kg" doc:"Lower end of the 80 % interval of the plaster saved"`
	SavedUpper80 float64 `col:"saved_upper_80" unit:"kg" doc:"Upper end of the 80 % interval of the plaster saved"`
	Basis        string  `col:"basis" doc:"What the figure rests on"`
}

// TableName implements Row.
func (BudgetWhatIf) TableName() (string, string) { return "budget_whatif", "one change" }

// OvermixFor is the advice on how much more to mix by form and maker.
type OvermixFor struct {
	Form                string  `col:"form" doc:"Form, or all"`
	Maker               string  `col:"maker" doc:"Maker, or all"`
	Pours               Count   `col:"pours" doc:"Pours whose gaps and weighings tell what was needed"`
	EstimateErrorSD     float64 `col:"estimate_error_sd" doc:"Standard deviation of the log of plaster used against plaster the gaps call for"`
	AdvisedOvermixShare float64 `col:"advised_overmix_share" doc:"Mix this share more than the gaps call for"`
	ChanceShort         float64 `col:"chance_short" doc:"Chance that the pour is short all the same"`
	UsualOvermixShare   float64 `col:"usual_overmix_share" doc:"Share mixed beyond what the gaps call for so far, the middle pour"`
}

// TableName implements Row.
func (OvermixFor) TableName() (string, string) { return "overmix_for", "one form and maker" }

// OvermixReplay is what the advice would have brought over the log.
type OvermixReplay struct {
	Group         string  `col:"group" doc:"What the pours are grouped by: all, form, maker, class"`
	Value         string  `col:"value" doc:"Which group: the name of the form, maker or class"`
	Pours         Count   `col:"pours" doc:"Pours mixed again as advised from what was known before their day"`
	MixedKg       float64 `col:"mixed_kg" unit:"kg" doc:"Dry plaster mixed"`
	AdvisedKg     float64 `col:"advised_kg" unit:"kg" doc:"Dry plaster that the advice would have mixed"`
	SpareSavedKg  float64 `col:"spare_saved_kg" unit:"kg" doc:"Plaster saved on what was mixed"`
	Short         Count   `col:"short" doc:"Pours that were short"`
	ShortAdvised  float64 `col:"short_advised" doc:"Pours that would have been short as advised, expected where the log leaves it open"`
	ShortForecast float64 `col:"short_forecast" doc:"Short pours that the advice itself expected"`
	NetSavedKg    float64 `col:"net_saved_kg" unit:"kg" doc:"Plaster saved, with the second mix for every short pour taken off"`
	NetLower80    float64 `col:"net_lower_80" unit:"kg" doc:"Lower end of the 80 % interval of the net saving"`
	NetUpper80    float64 `col:"net_upper_80" unit:"kg" doc:"Upper end of the 80 % interval of the net saving"`
	NetSavedCost  float64 `col:"net_saved_cost" unit:"currency" doc:"Money saved, labour for short pours taken off"`
	CostLower80   float64 `col:"net_saved_cost_lower_80" unit:"currency" doc:"Lower end of the 80 % interval of the money saved"`
	CostUpper80   float64 `col:"net_saved_cost_upper_80" unit:"currency" doc:"Upper end of the 80 % interval of the money saved"`
}

// TableName implements Row.
func (OvermixReplay) TableName() (string, string) { return "overmix_replay", "one group of pours" }
