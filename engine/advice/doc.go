// Package advice works out which check to make next, and in which order to
// repair when no check pays.
//
// Start with [Problem.Advise]. Everything is counted in minutes of work, and a
// check is worth what it is expected to save (Heckerman, Breese and Rommelse
// 1995, "Decision-theoretic troubleshooting"; from memory): the expected cost of
// repairing now, less its mean over what the check may say, less the check's own
// minutes.
//
// # What is to blame
//
// A car is repaired until nothing is odd, not until nothing is wrong with it. A
// fault that explains nothing of what was seen keeps the probability that it has
// among all cars, and nobody would search for it. So minutes are counted with a
// posterior of what is to blame: of all sets of faults, weighed exactly, each further fault of a set
// counts ten times less than its prior alone says ([Problem.Several]), so that
// two faults are taken where the readings call for two; and that what is to blame lies outside the network counts
// with a prior of one in twenty ([Problem.Outside]), not with the probability that a car out of
// many has none of the faults. Both are judgements. Posteriors that are shown are the network's own.
//
// # The cost of repairing now
//
// Repairing goes by a [Plan]: a list of steps. A step makes the check that
// settles one or more faults and repairs what it finds, or, where that check has
// been made already or there is none, repairs outright. Next goes
// the step that lowers the probability that more is needed by most for its
// minutes. For one fault and perfect checks that is the order of probability over
// minutes, which is the best (Kadane and Simon 1977, "Optimal strategies for a
// class of constrained sequential problems"; Kalagnanam and Henrion 1990, "A
// comparison of decision analysis and expert rules for sequential diagnosis");
// where several faults are about, what has to be repaired anyway goes before what
// is merely quick to try. On a tie, the step whose first fault comes first in the
// pack goes first. The last step is made like the others: that it is the only one
// left proves nothing, since the fault may lie outside the rules. After the
// steps, or after as many as pay, comes the last resort.
//
// A step is reached unless all that is wrong has been repaired before. That
// takes the joint posterior of all faults; what is used is the number
//
//	none + min(1 - none, max(1 - none - sum of the posteriors before, 1 - product of (1 - posterior) from here on))
//
// which is exact where exactly one fault or none is present, and exact where
// faults are independent. Both parts of max are lower bounds of the truth where faults that
// could explain the same readings exclude each other, as they do here.
//
// # What a check may say
//
// Its outcomes are the joint outcomes of all findings that it decides, predicted
// by the network ([belief.Network.Outlook]). They are gone through one by one
// while they are few; else the most probable are, and the others are taken
// together in parts that are less finely divided. That makes the saving too small
// rather than too large, but for what a plan by probability over minutes
// lacks of the best one where several faults are about; how much too small at most
// is said ([Worth.Most]). No check can save more than knowing everything would
// ([Advice.Perfect]; Howard 1966, "Information value theory", from memory).
//
// The package knows nothing of cars, files or text.
package advice
