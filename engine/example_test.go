package engine_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log"
	"os"
	"strings"

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

// What to check next, and what that is expected to save.
func ExamplePack_Next() {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		log.Fatal(err)
	}
	job, err := pack.ParseJob("job.json", []byte(`{
		"vehicle": "brackenby-1800",
		"readings": {"engine_warm": true, "electrical_load_off": true, "breather_vented": true, "purge_disconnected": true,
			"idle_speed": 850, "valve_duty": 15}
	}`))
	if err != nil {
		log.Fatal(err)
	}
	next, err := pack.Next(context.Background(), job, engine.NextOptions{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(next.Do)
	if best := next.Checks[0]; best.WithNext > 0 {
		fmt.Println("a check pays:", best.Minutes > 0)
	}
	// Output:
	// check
	// a check pays: true
}

// Jobs from a pipe, each on a line; one of them is wrong.
func ExamplePack_Stream() {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		log.Fatal(err)
	}
	in := strings.NewReader(`{"name": "first", "readings": {"leak_found": true}}
{"name": "second", "readings": {"leak_fond": true}}
`)
	var out bytes.Buffer
	sum, err := pack.Stream(context.Background(), in, &out, engine.StreamOptions{Most: 1})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(sum.Jobs, "jobs,", sum.Errors, "error")
	for line := range strings.Lines(out.String()) {
		var record struct {
			engine.Brief
			Error *engine.LineError
		}
		if err := json.Unmarshal([]byte(line), &record); err != nil {
			log.Fatal(err)
		}
		if record.Error != nil {
			fmt.Println(record.Line, record.Error.Problems[0].Message)
		} else {
			fmt.Printf("%d %s %.2f\n", record.Line, record.Faults[0].Fault, record.Faults[0].Probability)
		}
	}
	// Output:
	// 2 jobs, 1 error
	// 1 unmeasured-air 0.75
	// 2 there is no reading "leak_fond"
}

// One job in short.
func ExamplePack_Brief() {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		log.Fatal(err)
	}
	job := &engine.Job{Vehicle: "brackenby-1800", Readings: map[string]engine.Value{"engine_warm": engine.YesNo(false), "valve_duty": engine.Number(15)}}
	brief, err := pack.Brief(context.Background(), job, engine.BriefOptions{})
	if err != nil {
		log.Fatal(err)
	}
	for _, w := range brief.Warnings {
		fmt.Println(w.Kind, w.Readings)
	}
	// Output: set-up [engine_warm]
}
