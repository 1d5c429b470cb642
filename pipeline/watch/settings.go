package watch

// Settings of the watch stage.
type Settings struct {
	InControlRun float64 // casts between two false flags of a healthy mold, all evidence together
	Reference    float64 // reference value of the running sum, in standard deviations
	FastWear     float64 // how many times its kind's wear counts as fast; a healthy mold stays below it
	FlagChance   float64 // chance of fast wear from which it is told as evidence
	RejectRise   float64 // how many times its usual share of rejects is to be noticed
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{InControlRun: 500, Reference: 0.5, FastWear: 1.5, FlagChance: 0.9, RejectRise: 3}
}

// The three charts share the false flags that are allowed: if they alarm once in
// N1, N2 and N3 casts, a mold is flagged falsely no more often than once in
// 1/(1/N1 + 1/N2 + 1/N3). Wear is what molds die of, so most of the allowance
// goes to it.
const (
	shareWear    = 0.6
	shareThin    = 0.2
	shareRejects = 0.2
)
