// Package belief holds a network of causes, the states they bring about and
// the findings those states show, and works out its exact posterior.
//
// Start with [New], which checks a [Model] and returns a [Network]; then call
// [Network.Posterior] with the [Evidence]. The rest explains that answer:
// [Network.States], [Network.Sets], [Network.LeaveOut], [Network.Conflict] and
// [Network.Predict]; [Network.Outlook] looks ahead at what was not seen yet.
//
// # The model
//
// Fault i is present with its prior, independently of the others. Given the
// set X of faults present, each state of a condition is caused, independently
// of the other states, with probability
//
//	1 - (1-leak) prod over links from X of (1-strength)/(1-leak)
//
// which is the leaky noisy-OR whose strengths are plain conditional
// probabilities, leak included: how often the state arises when this fault
// alone is present (Henrion 1989, "Some practical issues in constructing
// belief networks"; from memory). A condition has at most one state as its
// value: none when no state is caused, else one of those caused, each as likely
// as another. The choice is made once a condition, so all findings see the same
// value.
//
// An outcome of a finding arises with probability
//
//	1 - (1-leak) prod (1-p)/(1-leak)     kept within 0..1
//
// over the strengths p of the values and present faults that it shows. A
// state's strength may lie below the leak (the state makes the outcome rarer);
// a fault's may not. A finding with several outcomes shows the states of one
// condition only, and at most one of its outcomes arises.
//
// # The method
//
// Every fault's two posterior sums, present and absent, come from variable
// elimination and its adjoint. Numbers of both signs are added only where what
// cancels is bounded beforehand: of the 16 digits of a float64 at least 11 are left, and
// 12 were wherever it was measured. Quickscore (Heckerman 1989, "A tractable inference
// algorithm for diagnosing multiple diseases"; from memory) has the same cost in
// findings that hold, but sums terms of alternating sign without such a bound, which
// leaves no correct digits on improbable evidence; it is not used here.
//
// The values of conditions come the same way, as long as as many digits are left. Where they
// are not or elimination would need more, and for the derivatives of a sensitivity, one forward
// and one backward pass over the faults answer, on a table over the set of states that are on so
// far, with positive numbers only.
//
// A table doubles with every live state. [MaxLive] is the stated limit; past it
// the answer is a [*TooWideError], never an approximation; [Network.Partial] then has
// what is exact beside what is too wide. Numbers are float64:
// a share of the posterior below about 1e-250 of the rest may be lost, and where evidence
// weighs against itself by more than that, larger ones.
//
// The package knows nothing of cars, files or text.
package belief
