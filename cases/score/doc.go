// Package score scores the rules on cars whose faults are known: it stages cars of
// the physical model in cases/modelcar, ranks their readings, and counts how often
// the true fault leads, and how far the probabilities are from how often things are
// so. docs/performance.md has the figures.
//
// Start with Rules, which scores the ranking after some checks, or Ways, which works
// the cars off with the planner and with the fixed routine. The model knows nothing of
// the rules, so unlike engine.Simulator this can show that the rules are wrong; as far as
// the model is right. The measures Brier, LogLoss and Calibrate stand by themselves.
package score
