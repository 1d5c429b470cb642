package life

// Settings of the life stage.
type Settings struct {
	Draws   int // random draws a mold
	Horizon int // most further casts that are looked at
}

// Defaults are the settings of a run without options.
func Defaults() Settings { return Settings{Draws: 4000, Horizon: 500} }
