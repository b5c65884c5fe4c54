package engine_test

import (
	"context"
	"fmt"
	"log"
	"os"

	"culprit/engine"
)

// The whole way: rules, a job, a verdict.
func Example() {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		log.Fatal(err)
	}
	job, err := engine.ParseJob("job.json", []byte(`{
		"vehicle": "brackenby-1800",
		"readings": {"engine_warm": true, "idle_speed": 850, "valve_duty": 15,
			"regulator_current": "17 mA", "regulator_current_2500": "11 mA"}
	}`))
	if err != nil {
		log.Fatal(err)
	}
	verdict, err := pack.Diagnose(context.Background(), job, engine.Options{})
	if err != nil {
		log.Fatal(err)
	}
	first := verdict.Faults[0]
	fmt.Printf("%s: %.1f\n", first.Label, first.Probability)
	fmt.Println("for:", first.Detail.For[0].Says)
	// Output:
	// Air leaking in behind the air-flow plate: 0.9
	// for: The idle air valve is shut further than it should be
}

// A job made without JSON.
func ExampleJob() {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		log.Fatal(err)
	}
	job := &engine.Job{
		Spec: map[string]engine.Figures{"system_pressure": {From: "75 psi", To: "82 psi"}},
		Readings: map[string]engine.Value{
			"engine_warm":     engine.YesNo(true),
			"system_pressure": engine.Measured(5.0, "bar", 0.05),
		},
	}
	verdict, err := pack.Diagnose(context.Background(), job, engine.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, r := range verdict.Readings {
		if r.Limits != nil {
			fmt.Printf("%s: %s; in order: %s\n", r.Label, r.Text, r.Limits.Text)
		}
	}
	// Output:
	// System pressure: 5.00 bar; in order: 5.171-5.654 bar
}

// What is wrong with a job comes with its place and the nearest known name.
func ExamplePack_Diagnose_refused() {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		log.Fatal(err)
	}
	job, err := engine.ParseJob("job.json", []byte(`{"readings": {"valve_dutty": 15}}`))
	if err != nil {
		log.Fatal(err)
	}
	_, err = pack.Diagnose(context.Background(), job, engine.Options{})
	if problems, ok := err.(engine.Problems); ok {
		problems.Format(os.Stdout)
	}
	// Output:
	// job.json:1:15: readings.valve_dutty: there is no reading "valve_dutty"
	//     {"readings": {"valve_dutty": 15}}
	//                   ^^^^^^^^^^^^^
	//     did you mean "valve_duty"?
}

// What the pack knows of an id.
func ExamplePack_Show() {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		log.Fatal(err)
	}
	cards, err := pack.Show("leak-test")
	if err != nil {
		log.Fatal(err)
	}
	for _, c := range cards {
		fmt.Println(c.Kind, c.ID+":", c.Label)
		for _, l := range c.Links[:2] {
			fmt.Println(l.Relation, l.ID)
		}
	}
	// Output:
	// check leak-test: Smoke or gas leak test of the inlet
	// yields leak_found
	// decides the rule inlet-leak-found
}

// A typed word and a reading from a file: words win.
func ExampleJob_AddWords() {
	job, err := engine.ParseJob("job.json", []byte(`{"readings": {"co": 1.9, "o2": 1.3}}`))
	if err != nil {
		log.Fatal(err)
	}
	if err := job.AddWords([]string{"co=null", `valve_duty=25.2 deg dwell4`}); err != nil {
		log.Fatal(err)
	}
	fmt.Println(job.Readings["co"].Taken(), job.Readings["o2"].Taken(), job.Readings["valve_duty"].Taken())
	// Output: false true true
}
