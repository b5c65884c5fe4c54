package truth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// wave gives a signal's value at a time in seconds.
type wave func(seconds float64) float64

// trace samples a signal every so many milliseconds.
func trace(every float64, samples int, w wave) *Samples {
	values := make([]float64, samples)
	for i := range values {
		values[i] = w(float64(i) * every / 1000)
	}
	s, err := NewSamples(every/1000, values)
	if err != nil {
		panic(err)
	}
	return s
}

func flat(volts float64) wave { return func(float64) float64 { return volts } }

// square swings between 0.1 and 0.85 V, rich for a share of each cycle.
func square(hertz, share, phase float64) wave {
	return func(t float64) float64 {
		if _, part := math.Modf(t*hertz + phase); part < share {
			return 0.85
		}
		return 0.1
	}
}

// sine swings between 0.1 and 0.8 V.
func sine(hertz, phase float64) wave {
	return func(t float64) float64 { return 0.45 + 0.35*math.Sin(2*math.Pi*(t*hertz+phase)) }
}

// noisy adds normal noise of a standard deviation in volts.
func (s *Samples) noisy(volts float64, random *rand.Rand) *Samples {
	out := *s
	out.Values = append([]float64(nil), s.Values...)
	for i := range out.Values {
		out.Values[i] += volts * random.NormFloat64()
	}
	return &out
}

// with replaces samples by a value.
func (s *Samples) with(value float64, at ...int) *Samples {
	out := *s
	out.Values = append([]float64(nil), s.Values...)
	for _, i := range at {
		out.Values[i] = value
	}
	return &out
}

// upTo lists the numbers from..to-1.
func upTo(from, to int) []int {
	var all []int
	for i := from; i < to; i++ {
		all = append(all, i)
	}
	return all
}

// TestSwitchRate: the rate is found within three of its own uncertainties, for
// every phase, of signals whose rate is known.
func TestSwitchRate(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		reason string
		hertz  float64
		make   func(phase float64, random *rand.Rand) *Samples
	}{
		{"square, as usual", 1.3, func(p float64, _ *rand.Rand) *Samples { return trace(50, 400, square(1.3, 0.5, p)) }},
		{"square, slow, in a short trace", 0.5, func(p float64, _ *rand.Rand) *Samples { return trace(50, 120, square(0.5, 0.5, p)) }},
		{"square, as quick as five samples a cycle", 4, func(p float64, _ *rand.Rand) *Samples { return trace(50, 400, square(4, 0.5, p)) }},
		{"rich for a fifth of the time", 1.3, func(p float64, _ *rand.Rand) *Samples { return trace(50, 400, square(1.3, 0.2, p)) }},
		{"lean for a fifth of the time", 1.3, func(p float64, _ *rand.Rand) *Samples { return trace(50, 400, square(1.3, 0.8, p)) }},
		{"uneven, one cycle and a bit", 0.4, func(p float64, _ *rand.Rand) *Samples { return trace(50, 90, square(0.4, 0.3, p)) }},
		{"sine", 1.3, func(p float64, _ *rand.Rand) *Samples { return trace(50, 400, sine(1.3, p)) }},
		{"sine with noise as large as a third of the hysteresis", 1.3, func(p float64, r *rand.Rand) *Samples { return trace(50, 400, sine(1.3, p)).noisy(0.017, r) }},
		{"square with strong noise", 1.3, func(p float64, r *rand.Rand) *Samples { return trace(50, 400, square(1.3, 0.5, p)).noisy(0.05, r) }},
		{"drop-outs to nothing of single samples", 1.1, func(p float64, r *rand.Rand) *Samples {
			return trace(50, 400, square(1.1, 0.5, p)).with(0, 13, 77, 140, 201, 288, 333)
		}},
		{"spikes upwards of single samples", 1.1, func(p float64, r *rand.Rand) *Samples {
			return trace(50, 400, square(1.1, 0.5, p)).with(1.1, 13, 77, 140, 201, 288, 333)
		}},
		{"a lost sample now and then", 1.1, func(p float64, r *rand.Rand) *Samples {
			return trace(50, 400, square(1.1, 0.5, p)).with(nan, 9, 30, 31, 95, 170, 171, 260, 380)
		}},
		{"five seconds lost in the middle", 1.1, func(p float64, r *rand.Rand) *Samples {
			return trace(50, 400, square(1.1, 0.5, p)).with(nan, upTo(150, 250)...)
		}},
		{"two gaps, with a cycle lost in each", 1.1, func(p float64, r *rand.Rand) *Samples {
			return trace(50, 400, square(1.1, 0.5, p)).with(nan, append(upTo(100, 118), upTo(300, 318)...)...)
		}},
	} {
		random := rand.New(rand.NewPCG(11, 0))
		for phase := 0.0; phase < 1; phase += 0.037 {
			s := c.make(phase, random)
			f := s.figures()
			if f.rateErr != nil {
				t.Errorf("%s: %v", c.reason, f.rateErr)
				continue
			}
			if !(f.rateU > 0) || f.rateU > 0.1*c.hertz {
				t.Errorf("%s, phase %.2f: an uncertainty of %v Hz", c.reason, phase, f.rateU)
			}
			if off := math.Abs(f.rate - c.hertz); off > 3*f.rateU {
				t.Errorf("%s, phase %.2f: %v Hz, off by %.1f uncertainties", c.reason, phase, f.rate, off/f.rateU)
			}
			if !f.toggles || f.togglesErr != nil {
				t.Errorf("%s, phase %.2f: toggles is %t, %v", c.reason, phase, f.toggles, f.togglesErr)
			}
		}
	}
}

// TestSwitchRateUncertainty: over many phases and rates, the root of the mean
// square error stays below the stated uncertainty, which allows for a spike at
// an edge; steep edges alone come to about half of it, and smooth ones, which
// can be interpolated, to far less.
func TestSwitchRateUncertainty(t *testing.T) {
	for _, c := range []struct {
		reason      string
		w           func(hertz, phase float64) wave
		least, most float64
	}{
		{"steep edges", func(f, p float64) wave { return square(f, 0.5, p) }, 0.3, 0.7},
		{"steep edges, uneven", func(f, p float64) wave { return square(f, 0.3, p) }, 0.3, 0.7},
		{"smooth edges", sine, 0, 0.1},
	} {
		sum, n := 0.0, 0.0
		for hertz := 0.8; hertz < 1.3; hertz += 0.0137 {
			for phase := 0.0; phase < 1; phase += 0.037 {
				f := trace(80, 60, c.w(hertz, phase)).figures()
				if f.rateErr != nil {
					t.Fatal(f.rateErr)
				}
				z := (f.rate - hertz) / f.rateU
				sum += z * z
				n++
			}
		}
		if root := math.Sqrt(sum / n); root < c.least || root > c.most {
			t.Errorf("%s: errors of %.2f stated uncertainties, want %v to %v", c.reason, root, c.least, c.most)
		}
	}
}

// TestStandingStill: what a signal that does not toggle comes to.
func TestStandingStill(t *testing.T) {
	nan := math.NaN()
	ramp := func(t float64) float64 { return 0.1 + 0.05*t }
	for _, c := range []struct {
		reason  string
		s       *Samples
		toggles bool
		rate    float64
		refused string // of the toggling, or else empty
	}{
		{"flat low", trace(50, 300, flat(0.1)), false, 0, ""},
		{"flat high", trace(50, 300, flat(0.85)), false, 0, ""},
		{"flat in the middle, with noise within the hysteresis", trace(50, 300, flat(0.45)).noisy(0.015, rand.New(rand.NewPCG(12, 0))), false, 0, ""},
		{"small swings about the threshold", trace(50, 300, func(t float64) float64 { return 0.45 + 0.04*math.Sin(6*t) }), false, 0, ""},
		{"low, with single drop-outs and spikes", trace(50, 300, flat(0.2)).with(0.9, 20, 90, 150).with(0, 50, 200), false, 0, ""},
		{"high, with a drop-out at either end", trace(50, 300, flat(0.85)).with(0, 0, 299), false, 0, ""},
		{"once through, slowly", trace(50, 300, ramp), false, 1 / (2 * 14.95), ""},
		{"one dip when the throttle closes, in a minute", trace(100, 601, flat(0.8)).with(0.1, upTo(300, 320)...), false, 1 / 60.0, ""},
		{"slower than what counts", trace(100, 401, square(0.1, 0.5, 0)), false, 0.1, ""},
		{"just as slow as still counts", trace(100, 401, square(0.21, 0.5, 0)), true, 0.21, ""},
		{"flat, too short", trace(50, 100, flat(0.1)), false, -1, "the trace watches 4.95 s; it needs 10 s to say that the signal stands still"},
		{"flat and long, but most of it lost", trace(50, 400, flat(0.1)).with(nan, upTo(50, 350)...), false, -1, "the trace watches 4.9 s; it needs 10 s to say that the signal stands still"},
		{"once through in a short trace", trace(50, 60, func(t float64) float64 { return 0.1 + 0.3*t }), false, -1, "the trace watches 2.95 s; it needs 10 s to say that the signal stands still"},
		{"there and back in a short trace", trace(50, 60, func(t float64) float64 { return 0.1 + 0.7*math.Abs(math.Sin(t*1.2)) }), true, -1, ""},
		{"two samples a cycle", trace(50, 300, square(10, 0.5, 0.1)), false, -1, "a sample every 0.05 s is too seldom for this signal, which changes sides from one to the next"},
		{"three samples a cycle", trace(50, 300, square(20.0/3, 0.34, 0.1)), false, -1, "a sample every 0.05 s is too seldom for this signal, which changes sides from one to the next"},
	} {
		f := c.s.figures()
		got := ""
		if f.togglesErr != nil {
			got = f.togglesErr.Error()
		}
		if f.toggles != c.toggles || got != c.refused {
			t.Errorf("%s: toggles is %t, refused for %q; want %t, %q", c.reason, f.toggles, got, c.toggles, c.refused)
		}
		switch {
		case c.rate < 0 && c.refused != "" && f.rateErr == nil:
			t.Errorf("%s: a rate of %v Hz", c.reason, f.rate)
		case c.rate >= 0 && (f.rateErr != nil || math.Abs(f.rate-c.rate) > 3*f.rateU):
			t.Errorf("%s: %v Hz with u %v, %v; want %v", c.reason, f.rate, f.rateU, f.rateErr, c.rate)
		}
	}
}

// TestLevels: least, greatest and mean, single spikes left out of the
// first two only.
func TestLevels(t *testing.T) {
	nan := math.NaN()
	steps := []float64{0.5, 0.5, 0.2, 0.2, 0.9, 0.9, 0.5, 0.5}
	repeat := func(values ...float64) *Samples { return &Samples{Every: 0.05, Values: values} }
	for _, c := range []struct {
		reason            string
		s                 *Samples
		least, most, mean float64
	}{
		{"steps of two samples count", repeat(steps...), 0.2, 0.9, 0.525},
		{"a spike and a drop-out do not", repeat(0.5, 0.5, 9, 0.5, 0.5, -9, 0.5, 0.5), 0.5, 0.5, 0.375},
		{"nor at the first and the last sample", repeat(9, 0.5, 0.5, 0.5, -9), 0.5, 0.5, 0.3},
		{"nor beside a lost sample", repeat(0.5, 0.5, nan, 9, 0.5, 0.5, nan, nan, -9, nan, 0.5, 0.5), 0.5, 0.5, 0.375},
		{"a stretch of two samples counts as it is", repeat(0.5, 0.7, nan, nan, nan, 0.1, 0.2), 0.1, 0.7, 0.375},
		{"one sample left", repeat(nan, 0.4, nan), 0.4, 0.4, 0.4},
		{"numbers that a sum would lose", repeat(1e308, 1e308, 1e308), 1e308, 1e308, 1e308},
		{"far apart", repeat(-1.5e308, -1.5e308, 1.5e308, 1.5e308), -1.5e308, 1.5e308, 0},
	} {
		f := c.s.figures()
		near(t, c.reason+": least", f.least, c.least, 1e-15)
		near(t, c.reason+": most", f.most, c.most, 1e-15)
		near(t, c.reason+": mean", f.mean, c.mean, 1e-15*max(1, c.most))
	}
}

// TestTraceUncertainty: the meter's error shifts every sample alike, so it goes
// into each level once and out of their difference; a rate has its own.
func TestTraceUncertainty(t *testing.T) {
	j := newJob(t)
	s := trace(50, 400, square(1.3, 0.5, 0.1))
	j.v.SetTrace(j.index("signal"), s, 0.01)
	rate, rateU := s.figures().rate, s.figures().rateU
	for _, c := range []struct {
		src      string
		value, u float64
	}{
		{"trace_min(signal)", 0.1, 0.01},
		{"trace_max(signal)", 0.85, 0.01},
		{"trace_max(signal) - trace_min(signal)", 0.75, 0},
		{"trace_max(signal) + trace_min(signal)", 0.95, 0.02},
		{"switch_rate(signal)", rate, rateU},
		{"switch_rate(signal) - switch_rate(signal)", 0, 0},
	} {
		value, u := j.value(c.src)
		near(t, c.src, value, c.value, 1e-15)
		near(t, "u of "+c.src, u, c.u, 1e-15)
	}
	j.v.SetTrace(j.index("signal"), s, 0)
	if _, u := j.value("trace_mean(signal)"); u != 0 {
		t.Errorf("a meter without error has %v", u)
	}
	if got := j.v.Samples(j.index("signal")); got != s {
		t.Error("the samples are not those that were given")
	}
}

func TestNewSamples(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		every  float64
		values []float64
		want   string
	}{
		{0.05, []float64{1, 2, 3}, ""},
		{0.05, []float64{1, nan, 3}, ""},
		{0, []float64{1, 2, 3}, "the sampling interval must be a time above zero, not 0 s"},
		{-1, []float64{1, 2, 3}, "the sampling interval must be a time above zero, not -1 s"},
		{nan, []float64{1, 2, 3}, "the sampling interval must be a time above zero, not NaN s"},
		{inf, []float64{1, 2, 3}, "the sampling interval must be a time above zero, not +Inf s"},
		{1e300, []float64{1, 2, 3}, "no meter samples every 1e+300 s; from 1e-06 to 3600 s is taken"},
		{1e-300, []float64{1, 2, 3}, "no meter samples every 1e-300 s; from 1e-06 to 3600 s is taken"},
		{0.05, []float64{1, 2}, "a trace needs at least 3 samples, not 2"},
		{0.05, nil, "a trace needs at least 3 samples, not 0"},
		{0.05, make([]float64, MaxSamples+1), "a trace takes at most 100000 samples, not 100001"},
		{0.05, []float64{1, inf, 3}, "a trace holds only finite values"},
		{0.05, []float64{nan, nan, nan}, "every sample of the trace is lost"},
	} {
		s, err := NewSamples(c.every, c.values)
		if got := fmt.Sprint(err); got != c.want && !(err == nil && c.want == "") {
			t.Errorf("%v of %d: %v, want %q", c.every, len(c.values), err, c.want)
		}
		if (s == nil) != (err != nil) {
			t.Errorf("%v of %d: both %v and %v", c.every, len(c.values), s, err)
		}
	}
	if s := trace(50, 201, flat(0)); math.Abs(s.Seconds()-10) > 1e-12 || strings.Contains(fmt.Sprint(s.Seconds()), "NaN") {
		t.Errorf("201 samples every 50 ms take %v s", s.Seconds())
	}
}
