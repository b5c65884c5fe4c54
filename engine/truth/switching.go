package truth

import (
	"fmt"
	"math"
)

// The oxygen signal is judged by one threshold with hysteresis: it counts as
// rich once it has risen above 0.50 V and as lean once it has fallen below
// 0.40 V. The threshold, 0.45 V, is common practice; the width of the
// hysteresis is a judgement: wide enough for the noise of a bench meter, far
// narrower than the swing of a live sensor.
const (
	threshold  = 0.45
	hysteresis = 0.05
)

const (
	// slowest is the least rate in Hz at which a signal still counts as
	// toggling. A judgement: a sensor that does its work is several times as
	// quick, and one dip when the throttle closes is not work.
	slowest = 0.2
	// shortest is the time in seconds that a trace must watch the signal before
	// it can be said to stand still: two periods of the slowest toggling.
	shortest = 2 / slowest
	// maxGap is how many lost samples in a row are bridged. After more, nobody
	// knows what happened in between.
	maxGap = 2
	// coarse is how many samples the signal must stay on one side, in the mean,
	// for its trace to follow it. With fewer, smoothing would take out the
	// signal itself and not its spikes.
	coarse = 2.5
)

// crossing is one pass through the threshold.
type crossing struct {
	at     float64 // seconds from the start of the trace
	within float64 // seconds between the samples around it
}

// watched is what a trace saw of a signal.
type watched struct {
	every     float64 // seconds from one sample to the next
	seconds   float64 // watched without a gap, all stretches together
	stretches [][]crossing
	passes    int // through the threshold
	tooCoarse bool
}

// watch finds the passes through the threshold in smoothed samples, in
// stretches that gaps end. A pass is placed where the straight line between the
// samples around the threshold meets it.
func (s *Samples) watch(values []float64) watched {
	w := watched{every: s.Every, tooCoarse: s.tooCoarse()}
	var now []crossing
	rich, lean := false, false // neither: not yet known
	last := -1                 // the last sample that was not lost
	pass := crossing{}         // where the line last met the threshold
	for i, x := range values {
		if math.IsNaN(x) {
			continue
		}
		if last < 0 || i-last-1 > maxGap {
			w.end(now)
			now, rich, lean = nil, false, false
		} else {
			w.seconds += s.Every * float64(i-last)
			if p := values[last]; (p < threshold) != (x < threshold) {
				pass.within = s.Every * float64(i-last)
				pass.at = s.Every*float64(last) + pass.within*((threshold-p)/(x-p))
			}
		}
		last = i
		switch up, down := x > threshold+hysteresis, x < threshold-hysteresis; {
		case up && lean, down && rich:
			now = append(now, pass)
			rich, lean = up, down
		case up, down:
			rich, lean = up, down
		}
	}
	w.end(now)
	return w
}

// end closes a stretch.
func (w *watched) end(stretch []crossing) {
	if len(stretch) > 0 {
		w.stretches = append(w.stretches, stretch)
		w.passes += len(stretch)
	}
}

// tooCoarse reports whether the signal, before smoothing, changes sides in
// single samples too often for the trace to follow it.
func (s *Samples) tooCoarse() bool {
	runs, single := 0, 0
	side, length := 0, 0
	for _, x := range s.Values {
		now := side
		switch {
		case x > threshold+hysteresis:
			now = 1
		case x < threshold-hysteresis:
			now = -1
		}
		if now != side {
			if length == 1 {
				single++
			}
			runs++
			side, length = now, 0
		}
		length++
	}
	return single > 2 && float64(len(s.Values)) < coarse*float64(runs)
}

func (w *watched) coarseErr() error {
	return fmt.Errorf("a sample every %.3g s is too seldom for this signal, which changes sides from one to the next", w.every)
}

// switchRate is the number of whole cycles (through the threshold and back) a
// second: from the first to the last pass in the same direction, in every
// stretch and both directions together, so that an uneven share of rich and
// lean does not bend it. Its uncertainty is that of placing the ends of these
// spans. An end lies between two samples, or beyond one of them where a spike
// hides the edge: limits of one interval to either side (JCGM 100:2008, 4.3.7).
// The spans may all err alike, so they add up as they are and not as their
// squares. Where no cycle is whole, the rate is what passes there were over the
// time watched, if that is long enough to say so.
func (w *watched) switchRate() (hertz, u float64, err error) {
	if w.tooCoarse {
		return 0, 0, w.coarseErr()
	}
	cycles, seconds, limits := 0, 0.0, 0.0
	for _, stretch := range w.stretches {
		for i := range min(2, len(stretch)) { // passes alternate: one direction, then the other
			first := stretch[i]
			count := (len(stretch) - 1 - i) / 2
			if count > 0 {
				last := stretch[i+2*count]
				cycles += count
				seconds += last.at - first.at
				limits += math.Hypot(first.within, last.within)
			}
		}
	}
	if cycles > 0 {
		hertz = float64(cycles) / seconds
		return hertz, hertz * limits / math.Sqrt(3) / seconds, nil
	}
	if w.seconds < shortest {
		return 0, 0, fmt.Errorf("the trace watches %.3g s without a whole cycle; it needs %.3g s to say how slow the signal is", w.seconds, float64(shortest))
	}
	// Half a cycle more or less may have gone unseen at either end.
	return float64(w.passes) / 2 / w.seconds, 1 / w.seconds / math.Sqrt(12), nil
}

// toggles reports whether the signal keeps going through the threshold and
// back: at least once, and as often as the slowest toggling would, give or take
// the pass that the end of the trace cuts off. A trace too short to say that it
// does not is an error.
func (w *watched) toggles() (bool, error) {
	switch {
	case w.tooCoarse:
		return false, w.coarseErr()
	case w.passes >= 2 && float64(w.passes+1) >= 2*slowest*w.seconds:
		return true, nil
	case w.seconds < shortest:
		return false, fmt.Errorf("the trace watches %.3g s; it needs %.3g s to say that the signal stands still", w.seconds, float64(shortest))
	}
	return false, nil
}
