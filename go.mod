module culprit

go 1.26.8

require (
	github.com/dalzilio/rudd v1.1.1-0.20230806153452-9e08a6ea8170
	github.com/expr-lang/expr v1.17.8
	github.com/go-json-experiment/json v1.27.2
	github.com/google/go-cmp v0.7.0
	github.com/rogpeppe/go-internal v1.16.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	github.com/spf13/pflag v1.1.0
	golang.org/x/term v0.48.0
	gonum.org/v1/gonum v0.17.0
	gopkg.in/yaml.v3 v3.0.1
)

require (
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/text v0.23.0 // indirect
	golang.org/x/tools v0.30.0 // indirect
)
