package life

// Settings of the life stage.
type Settings struct {
	Draws   int // random draws a mold
	Horizon int // most further casts that are looked at

	MostDraws  int // draws of all molds together; beyond it there are fewer a mold. 0: as Defaults
	LearnCasts int // casts of the molds that tell what all molds share, at most. 0: as Defaults

	FaultLimit float64 // chance of a reject beyond which a mold is given up
	Path       Path    // how paths go on between their last reading and the limit
	PathWhy    string  // why that path was set, for the notes; "" for no reason but the user's
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{Draws: 4000, Horizon: 500, FaultLimit: 0.25, MostDraws: 2_000_000, LearnCasts: 20_000}
}

// leastDraws a mold has, however many there are.
const leastDraws = 100

// drawsEach is how many draws each of so many molds has.
func (s Settings) drawsEach(molds int) int {
	most := s.MostDraws
	if most <= 0 {
		most = Defaults().MostDraws
	}
	return min(s.Draws, max(leastDraws, most/max(1, molds)))
}

// Path says how the paths of molds go on.
type Path int

// Paths by the data's choice (AICc), or set by hand.
const (
	PathByData Path = iota
	PathStraight
	PathWandering
)
