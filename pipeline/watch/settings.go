package watch

// Settings of the watch stage.
type Settings struct {
	InControlRun float64 // casts between two false flags of a healthy mold, all evidence together
	Reference    float64 // reference value of the running sum, in standard deviations
	FastWear     float64 // how many times its kind's wear counts as fast; a healthy mold stays below it
	FlagChance   float64 // chance of fast wear from which it is told as evidence
	RejectRise   float64 // how many times its usual share of rejects is to be noticed

	RehearsedCasts int // casts drawn to set the limit of wear by

	// Bounds of what a large log costs.
	Learn     int // casts above which what all molds share is learned from whole molds with about so many
	MoldsTold int // molds above which not all that ended are watched
	EndedTold int // how many of them then are: the last to end
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{
		InControlRun: 500, Reference: 0.5, FastWear: 1.5, FlagChance: 0.9, RejectRise: 3, RehearsedCasts: 100_000,
		Learn: 20_000, MoldsTold: 5_000, EndedTold: 1_000,
	}
}

// Thin walls and rejects may raise these shares of the false flags that are
// allowed. Wear is what molds die of: it gets the rest, and what thin walls and
// wear flag both is counted once. A part is kept back, for healthy molds are drawn
// by the fitted law, and molds that follow another one, or a law fitted amiss,
// raised a fifth more (measured: fixtures/trials/MEASURED.md).
const (
	shareThin    = 0.2
	shareRejects = 0.1
	keptBack     = 0.25
)
