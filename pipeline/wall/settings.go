package wall

// Settings of the wall stage.
type Settings struct {
	LeastCasts   int // usable casts below which no model is fitted
	GuideSteps   int // ages in the dwell guide after the present one
	GuideStride  int // casts between two ages of the guide
	UsualDwellOf int // how many last casts give the usual dwell
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{LeastCasts: 8, GuideSteps: 6, GuideStride: 5, UsualDwellOf: 10}
}
