package proof

import "culprit/engine/rulefile"

// jobs reports what leaves a technician without knowing what to do: checks without steps, faults that nothing settles or
// nothing ends, and preparations that nobody makes.
func (r *reader) jobs() {
	needed := make([]bool, len(r.pack.Preparations))
	for _, c := range r.pack.Checks {
		for _, i := range c.Prepare {
			needed[i] = true
		}
		if len(c.Do) == 0 {
			p := at(c.At, c.ID, "check %q does not say what to do", c.ID)
			p.Hint = "write its steps under \"do\", in the order of the work"
			r.add("no-steps", excuses{c.Excuses}, p)
		}
	}
	for i, prep := range r.pack.Preparations {
		r.preparation(prep, needed[i])
	}
	for _, f := range r.pack.Faults {
		if f.Settle == nil {
			p := at(f.At, f.ID, "no check settles whether fault %q is present", f.ID)
			p.Hint = "name one under \"settle\": the check after which nobody doubts any more"
			r.add("no-settle", excuses{f.Excuses}, p)
		}
		if f.Repair == nil {
			p := at(f.At, f.ID, "nothing says how fault %q is repaired", f.ID)
			p.Hint = "write \"repair\" with its minutes and what to do"
			r.add("no-repair", excuses{f.Excuses}, p)
		}
	}
}

func (r *reader) preparation(prep *rulefile.Preparation, needed bool) {
	if len(prep.Do) == 0 {
		p := at(prep.At, prep.ID, "preparation %q does not say what to do", prep.ID)
		p.Hint = "write its steps under \"do\", in the order of the work"
		r.add("no-steps", excuses{prep.Excuses}, p)
	}
	if !needed {
		p := at(prep.At, prep.ID, "no check needs preparation %q", prep.ID)
		p.Hint = "name it under \"prepare\" of the checks that share it, or take it away"
		r.add("idle-preparation", excuses{prep.Excuses}, p)
	}
}
