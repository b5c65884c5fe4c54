package belief

import "math"

// What elimination takes in the units of plan.work, measured: per product and per operation;
// and what it takes at least, per fault it goes through, and per weight of a unit with
// how each of its bits might stand beside each other.
const (
	productWork   = 5
	operationWork = 100
	faultWork     = 400
	weightWork    = 4
)

// prepare chooses between elimination, which it makes ready, and the passes over one table,
// which it lays: ok is true for elimination. It is chosen where it takes less, by the
// number of operations of both; neither depends on what was asked before.
func (e *elimination) prepare(w *work) (ok bool) {
	w.arrange()
	w.plan.lay(w)
	w.isLaid = true
	passes := math.Inf(1)
	if w.plan.live <= MaxLive {
		passes = w.plan.work(w)
	}
	if passes <= e.leastWork(w) || w.stopped() {
		return false
	}
	p := e.program(w, passes/productWork)
	if p == nil || productWork*p.work+operationWork*float64(len(p.ops)) > passes {
		return false
	}
	e.use(w, p)
	return true
}

// program describes the problem and returns its program; nil where there is none that takes
// at most so many products and keeps within what is stated.
func (e *elimination) program(w *work, limit float64) *program {
	if len(w.units) > mostSlots || w.openTogether() > MaxLive || !e.describe(w) || len(e.slots) > mostSlots {
		return nil
	}
	return w.n.programs.find(e, w, limit)
}

// use makes a program that of the query.
func (e *elimination) use(w *work, p *program) {
	e.plan = p
	w.live = p.live
	w.coupling = append(w.coupling[:0], p.joints...)
}

// work returns about how many numbers the passes go through.
func (p *plan) work(w *work) float64 {
	sum := 0.0
	for i := range p.steps {
		s := &p.steps[i]
		each := 2.0
		switch s.kind {
		case stepMove:
			each += float64(len(w.arcsOf(s.id)))
		case stepSum, stepClose:
			u := &w.units[s.id]
			each = 4
			if s.kind == stepClose {
				each += float64(u.values)
			}
			sum += math.Ldexp(float64(u.values), int(u.bits))
		}
		sum += math.Ldexp(each, int(s.live))
	}
	return sum
}

// leastWork returns what elimination takes at least.
func (e *elimination) leastWork(w *work) float64 {
	sum := float64(faultWork * len(w.movers))
	for u := range w.units {
		bits := int(w.units[u].bits)
		sum += math.Ldexp(float64(weightWork*bits*bits), bits)
	}
	return sum
}
