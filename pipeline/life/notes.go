package life

import (
	"fmt"

	"moldwright/pipeline/format"
)

// notes are what a reader must know of how the forecasts were made.
func notes(p *paths, fits []kindFit, set Settings) []string {
	out := []string{
		"Lives: Weibull law in casts, by kind, right-censored (molds in use) and left-truncated (molds older than the log), with a weak prior from common practice (split: 20 to 50 casts; conventional: about 100; no source). Kinds lean on each other as far as the log bears out that they go together.",
	}
	for _, k := range fits {
		out = append(out, grounds(k))
	}
	out = append(out,
		"What an end says: broken, chipped, detail and worn molds tell how long their kind lives, and that they were not too slow until then; a slow one tells how strictly the studio goes by its limit, and counts as not ended among the lives; one retired for another reason counts as not ended.",
		fmt.Sprintf("Too many faults: the chance of a reject, logistic in age with an effect of the mold, goes beyond %s; only where results are logged.", format.Percent(set.FaultLimit)),
		"What ends molds, and when: Aalen-Johansen estimate by kind, causes competing, from the reasons logged (worn or detail lost; broken or chipped; slow; other; none given), late entries and molds in use allowed for.",
		"A mold in use makes at least one more cast; causes compete, and the first ends the mold.",
	)
	if len(p.habits.at) == 0 {
		return out
	}
	casual, _ := p.habits.middle()
	out = append(out, fmt.Sprintf("Too slow: rested and with the usual slip, the mold needs a longer dwell than its form allows. By this log and common practice (about 2 casts, no source), the studio goes on for about %s after that; molds still in use are judged accordingly.", format.Casts(casual)))
	if p.wandering {
		return append(out, "Paths to the limit wander: the wear of each mold is steady but for a random step with each cast, because that fits the walls better in AICc than straight paths do.")
	}
	return append(out, "Paths to the limit are drawn straight on: wandering ones do not fit the walls better in AICc, or cannot be told from the few casts.")
}

// bounds says what a large log was not used for.
func (k *Known) bounds() []string {
	var out []string
	if all := len(k.log.Casts); k.learned < all {
		out = append(out, fmt.Sprintf("What molds share of wear, habits and rejects is learned from %d of the %d casts, those of whole molds chosen by their names as if by lot, some of every form and kind; lives are learned from all molds, and each mold's forecast goes by all of its own casts.", k.learned, all))
	}
	if k.draws < k.set.Draws {
		out = append(out, fmt.Sprintf("The law of each mold's remaining casts is told by %d points instead of %d, as %d molds are in use.", k.draws, k.set.Draws, len(k.inUse)))
	}
	return out
}

// grounds says what the lives of a kind are known from.
func grounds(k kindFit) string {
	from := format.Percent(k.fit.PriorWeight) + " comes from common practice"
	if k.fit.PoolWeight >= 0.005 {
		from += ", " + format.Percent(k.fit.PoolWeight) + " from this studio's other kinds"
	}
	rest := "the rest from molds still in use or ended otherwise; none has ended worn or broken"
	switch {
	case len(k.units) == 0:
		return fmt.Sprintf("Of what is known of the lives of %s molds, %s; none has made a cast in the log.", k.kind, from)
	case k.fit.Ended > 0:
		rest = "the rest from " + molds(k.fit.Ended) + " that ended worn or broken, and those that go on"
	}
	return fmt.Sprintf("Of what is known of the lives of %s molds, %s, %s.", k.kind, from, rest)
}

func molds(n int) string {
	if n == 1 {
		return "1 mold"
	}
	return fmt.Sprintf("%d molds", n)
}
