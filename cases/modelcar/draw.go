package modelcar

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
)

// Options say in what circumstances a car is measured. The zero value is the routine: warm, everything off and
// vented, the loop closed.
type Options struct {
	Vehicle         string  // id of one of Designs; the first if empty
	Breather        bool    // connected, instead of vented with its ports closed
	Purge           bool    // hose on
	Consumers       bool    // on
	SensorUnplugged bool    // which leaves the loop open
	Coolant         float64 // temperature of the coolant, °C; 0 is that of the warm engine
	JustSet         bool    // somebody has turned the mixture screw until the current read its reference
	Exact           bool    // meters without error; draws from tables are replaced by what is likelier
}

// A Car is one car with its faults. Its methods do not change it, but they keep what they have worked out, so a Car
// is for one goroutine.
type Car struct {
	seed    uint64
	faults  []Fault
	options Options
	design  *Design
	p       parameters
	flaw    flaws

	screw    float64    // opening of the idle screw, mm²
	mixture  float64    // factor of the mixture screw
	injector [4]float64 // quantity against the mean
	worth    [4]float64 // work against the mean
	compress [4]float64 // bar

	choked, residual, filling, leanLog, richLog float64

	states map[when]state
	signal *signal
}

// stream gives the random numbers for one purpose, so that what is drawn for one does not move another.
func stream(seed uint64, purpose string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(purpose))
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

// Draw makes a car: its own numbers from the tolerances in Parameters; set up as a workshop would, the idle screw
// so that the valve stands at its reference and the mixture screw so that the current does, each as nearly as
// people set them; and then the faults. A severity is brought into 0 to 1. It is an error if a fault or vehicle is
// unknown or a fault stands twice.
func Draw(seed uint64, faults []Fault, o Options) (*Car, error) {
	c := &Car{seed: seed, options: o, states: map[when]state{}}
	if o.Vehicle == "" {
		c.design = Designs[0]
	} else if c.design = design(o.Vehicle); c.design == nil {
		return nil, fmt.Errorf("there is no model car %q", o.Vehicle)
	}
	r := stream(seed, "car")
	c.p = drawParameters(c.design, r)
	if o.Coolant != 0 {
		c.p[coolant] = o.Coolant
	}
	c.prepare()
	c.drawCylinders(r)
	c.setUp(stream(seed, "set up"))
	for i, f := range faults {
		for _, other := range faults[:i] {
			if other.ID == f.ID {
				return nil, fmt.Errorf("fault %q stands twice", f.ID)
			}
		}
		k, ok := Kind(f.ID)
		if !ok {
			return nil, fmt.Errorf("fault %q cannot be staged", f.ID)
		}
		f.Severity = min(max(0, f.Severity), 1)
		if f.Severity > 0 {
			k.put(&c.flaw, f.Severity*k.Full, stream(seed, "fault "+f.ID))
			c.faults = append(c.faults, f)
		}
	}
	if o.JustSet {
		c.setMixture(c.p[currentReference])
	}
	return c, nil
}

func (c *Car) drawCylinders(r *rand.Rand) {
	sum, works := 0.0, 0.0
	for i := range 4 {
		c.injector[i] = 1 + Parameters[injectorSpread].Tolerance*(2*r.Float64()-1)
		c.worth[i] = 1 + Parameters[cylinderCharge].Tolerance*(2*r.Float64()-1)
		c.compress[i] = c.p[compressionPressure] + 0.35*(2*r.Float64()-1) // within one engine; judgement
		sum += c.injector[i]
		works += c.worth[i]
	}
	for i := range 4 { // the mean is 1: a common part is the screw's
		c.injector[i] *= 4 / sum
		c.worth[i] *= 4 / works
	}
}

// setUp sets idle and mixture of the sound car, in the circumstances of the routine, within 0.6 % of duty and 0.8
// mA: judgement of how well people set them.
func (c *Car) setUp(r *rand.Rand) {
	duty, current := c.design.duty+0.6*(2*r.Float64()-1), c.p[currentReference]+0.8*(2*r.Float64()-1)
	asked := c.options
	c.options = Options{}
	warm := c.p[coolant]
	c.p[coolant] = max(warm, c.p[warmTemperature])
	c.mixture = 1
	c.setMixture(current)
	s, _ := c.withTorque(when{}, c.target())
	c.screw = max(0, s.plate/c.airThrough(s.manifold)-c.throttle()-c.valveOpening(duty))
	c.options, c.p[coolant] = asked, warm
}

// setMixture turns the mixture screw until the mean current at idle is this; as near as it comes. A loop that is
// not closed does not answer, and then the screw stays as it is.
func (c *Car) setMixture(current float64) {
	was := c.mixture
	if !c.loopReady() || c.flaw.sensor != sensorSound || c.flaw.regulatorOpen || c.flaw.unitStuck {
		return
	}
	_, found := root(func(log float64) float64 {
		c.mixture = was * math.Exp(log)
		return c.steady(c.routine()).current - current
	}, -0.5, 0.5, 1e-6)
	if !found {
		c.mixture = was
	}
}

// routine is how the car is measured.
func (c *Car) routine() when {
	return when{breather: c.options.Breather, purge: c.options.Purge, consumers: c.options.Consumers}
}

// state is the steady state, worked out once.
func (c *Car) state(w when) *state {
	s, ok := c.states[w]
	if !ok {
		s = c.steady(w)
		c.states[w] = s
	}
	return &s
}

// Faults are the faults that were put into the car.
func (c *Car) Faults() []Fault { return c.faults }

// Severity draws a severity for a fault of which none was named: even from 0.3 to 1, in hundredths. A judgement:
// milder faults are not what people bring their cars for. What is there or not has 1.
func Severity(seed uint64, fault string) float64 {
	if k, ok := Kind(fault); ok && k.Whole() {
		return 1
	}
	return float64(30+stream(seed, "severity "+fault).IntN(71)) / 100
}

// Choose draws up to n different words, each in proportion to its weight among those left.
func Choose(seed uint64, purpose string, n int, words []Weighted) []string {
	r := stream(seed, "choose "+purpose)
	left := slices.Clone(words)
	var out []string
	for len(out) < n && len(left) > 0 {
		word := draw(r, left)
		out = append(out, word)
		left = slices.DeleteFunc(left, func(w Weighted) bool { return w.Word == word })
	}
	return out
}
