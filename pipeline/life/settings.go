package life

// Settings of the life stage.
type Settings struct {
	Draws   int // random draws a mold
	Horizon int // most further casts that are looked at

	FaultLimit float64 // chance of a reject beyond which a mold is given up
	Path       Path    // how paths go on between their last reading and the limit
	PathWhy    string  // why that path was set, for the notes; "" for no reason but the user's
}

// Defaults are the settings of a run without options.
func Defaults() Settings { return Settings{Draws: 4000, Horizon: 500, FaultLimit: 0.25} }

// Path says how the paths of molds go on.
type Path int

// Paths by the data's choice (AICc), or set by hand.
const (
	PathByData Path = iota
	PathStraight
	PathWandering
)
