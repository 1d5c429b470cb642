package hindcast

// Settings of the hindcast stage.
type Settings struct {
	Origins     int     // past dates that are forecast from, at most
	LeastDates  int     // past dates of a long log
	MostCasts   int     // casts that are fitted anew, all dates together: beyond it there are fewer dates
	LearnCasts  int     // casts of the molds that a large log is replayed on, at most
	First       float64 // share of the casts known at the first of them
	LeastCasts  int     // measured casts that must be known at a date
	Draws       int     // draws a mold of remaining casts
	LeastScored int     // forecasts whose truth is known before intervals are rescaled
	Doubt       float64 // standard errors that a share must be off before intervals are rescaled
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{Origins: 8, LeastDates: 3, MostCasts: 12_000, LearnCasts: 10_000, First: 0.25, LeastCasts: 24, Draws: 400, LeastScored: 50, Doubt: 2}
}

// levels of the intervals that are counted.
func levels() []float64 { return []float64{0.5, 0.8, 0.9} }
