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

// prepare chooses between elimination, which it makes ready, and the passes over one table:
// ok is true for elimination. It is chosen where it takes less, by the number of operations
// of both; neither depends on what was asked before. With values it is made ready to tell those
// of the conditions, and not the faults.
func (e *elimination) prepare(w *work, values bool) (ok bool) {
	e.forValues = values
	w.arranged()
	passes, least := w.order.cost, e.leastWork(w)
	if len(w.movers) == 0 || passes <= least {
		if passes = w.passesWork(); passes <= least {
			return false
		}
	}
	if w.stopped() || !e.ready(w) {
		return false
	}
	p := e.within(w, passes)
	if p == nil && !w.isLaid { // the steps besides those of faults count too
		p = e.within(w, w.passesWork())
	}
	if p == nil {
		return false
	}
	e.use(w, p)
	return true
}

// passesWork lays the steps of the passes, and returns about how many numbers they go
// through; infinite where they are too wide.
func (w *work) passesWork() float64 {
	w.laid()
	if w.plan.live > MaxLive {
		return math.Inf(1)
	}
	return w.plan.work(w)
}

// ready describes the problem, and reports whether it is within what elimination takes on.
func (e *elimination) ready(w *work) bool {
	return len(w.units) <= mostSlots && w.openTogether() <= MaxLive && e.describe(w) && len(e.slots) <= mostSlots
}

// within returns the problem's program where it takes no more than so much work, else nil.
func (e *elimination) within(w *work, work float64) *program {
	p := w.n.programs.find(e, w, work/productWork)
	if p == nil || productWork*p.work+operationWork*float64(len(p.ops)) > work {
		return nil
	}
	return p
}

// use makes a program that of the query.
func (e *elimination) use(w *work, p *program) {
	e.plan = p
	w.live, w.loss = p.live, e.mayLose()/e.left
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
