package plaster

// Settings of the plaster stage.
type Settings struct {
	PlasterDensity float64 // g/cm³ of hemihydrate
	WaterDensity   float64 // g/cm³
	ReadingErrorMM float64 // standard error of one gap or height reading, mm
	WeighingShare  float64 // standard error of a weighed mass, as a part of it
	SawMarginMM    float64 // a saw cut stays this far from the model
	BagKg          float64 // bag size where the price list names none
	MixConsistency float64 // consistency of the mix table; 0 for each pour's own
}

// Defaults are the settings of a run without options. The densities are those
// of the design: hemihydrate 2.70 (β about 2.63, α about 2.76), water 0.998 at 20 °C.
func Defaults() Settings {
	return Settings{PlasterDensity: 2.70, WaterDensity: 0.998, ReadingErrorMM: 2, WeighingShare: 0.01, SawMarginMM: 12, BagKg: 25}
}
