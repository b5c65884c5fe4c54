// Package strategies compares ways of choosing the next check by whole jobs on
// simulated cars: what a job takes with the planner, with a fixed routine, and
// with simple habits.
//
// Start with [Compare]. Cars are drawn from the pack's own numbers
// ([culprit/engine.Simulator]), and every strategy gets the same cars with the same answers to the
// same checks, so differences are taken car by car. What it shows is what the order
// of checks is worth where the rules are right; it proves nothing about the rules.
package strategies
