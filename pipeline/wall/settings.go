package wall

// Settings of the wall stage.
type Settings struct {
	LeastCasts   int // usable casts below which no model is fitted
	GuideSteps   int // ages in the dwell guide after the present one
	GuideStride  int // casts between two ages of the guide
	UsualDwellOf int // how many last casts give the usual dwell

	// Laws names the candidates to fit, such as Power; none stands for all of them.
	Laws []string

	// Bounds of what a large log costs.
	Learn     int // usable casts above which what all molds share is chosen on whole molds with about so many; 0 for no bound
	MoldsTold int // molds above which not all that ended are listed
	EndedTold int // how many of them then are: the last to end
	Paths     int // molds whose paths are drawn at most
	UsedShown int // casts of the fit that are held; all can be walked, see Answer.AllUsed
	OddTold   int // unusual walls that are told one by one, the oddest
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{
		LeastCasts: 8, GuideSteps: 6, GuideStride: 5, UsualDwellOf: 10,
		Learn: 20_000, MoldsTold: 5_000, EndedTold: 1_000, Paths: 300, UsedShown: 60_000, OddTold: 2_000,
	}
}
