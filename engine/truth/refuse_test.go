package truth

import (
	"errors"
	"strings"
	"testing"
)

// refusal is an expression with the place of its error between « and ».
type refusal struct {
	reason, src, text, hint string
}

const (
	notPart         = "this is not part of the language of rules"
	byName          = "make a derived reading of it (from: …) and name that"
	oneUnit         = "make a derived reading in % of what is in mA, and name that"
	plain           = "write only the number, in the unit of the reading"
	joinThem        = `join two questions with "and" or "or"`
	noEquals        = "a measured number is never exactly another: write between(x, a, b); a yes/no reading stands for itself"
	neverExactly    = "a measured number is never exactly another: write <, <=, > or >=, or between(x, a, b)"
	standsForItself = "a yes/no reading stands for itself: warm, or not warm"
	yesNames        = "name the yes/no reading itself: engine_warm, or not engine_warm"
	tight           = "not binds tighter than a comparison: write not (a > b)"
	split           = "split the rule, or compare fewer readings in it"
)

// refusals are taken by no use of expressions.
var refusals = []refusal{
	{"nothing", "«»", "the expression is empty", ""},
	{"only white space", "«» \n\t", "the expression is empty", ""},
	{"a limit is missing", "co >«» ", "the expression ends too early", ""},
	{"a bracket is not closed", "(co > 1«»", "the expression ends too early", "a '(' has no ')'"},
	{"a bracket in quotes is none", `lamp == "(" and«»`, "the expression ends too early", ""},
	{"a bracket too many", "co > 1«)»", `")" is not expected here`, ""},
	{"two readings with nothing between", "warm «closed»", `"closed" is not expected here`, joinThem},
	{"a unit that has another name here", "current > 50 «C»", `"C" is not expected here`, plain + ": mA"},
	{"a unit behind a plain number", "ratio > 50 «mA»", `"mA" is not expected here`, "write only the number: ratio has no unit"},
	{"a unit at the number on the left", "50 «mA» < current", `"mA" is not expected here`, plain},
	{"a comparison in words", "co «is» above 50", `"is" is not expected here`, "write a comparison: co > 50"},
	{"the same on the other side", "warm and co «is» less than 1.5", `"is" is not expected here`, "write a comparison: co < 1.5"},
	{"at most", "co «at» most 3", `"at" is not expected here`, "write a comparison: co <= 3"},
	{"not below", "co «is» not below 3 and o2 < 2", `"is" is not expected here`, "write a comparison: co >= 3"},
	{"without a number", "co «is» high", `"is" is not expected here`, "write a comparison: co > …"},
	{"a choice in words", "look «is» sooty", `"is" is not expected here`, `write look == "sooty"`},
	{"a choice in a word that it has not", "look «is» fine", `"is" is not expected here`, `compare it with one of its words: look == "…"`},
	{"a yes/no in words", "warm «is» yes", `"is" is not expected here`, "a yes/no reading stands for itself: warm, or not warm"},
	{"a trace in words", "signal «is» flat", `"is" is not expected here`, "derive a reading from it with toggles() or switch_rate()"},
	{"an operator too many", "co > 1 or «or» warm", `"or" is not expected here`, ""},
	{"an operator in capitals", "warm «AND» closed", `"AND" is not expected here`, `write "and"`},
	{"one = compares nothing", "co «=» 1", `"=" is not expected here`, neverExactly},
	{"one = and a word", `lamp «=» "on"`, `"=" is not expected here`, "write == to compare a choice with a word"},
	{"three are too many", "co ==«=» 1", `"=" is not expected here`, neverExactly},
	{"a decimal comma", "co > 1«,»5", `"," is not expected here`, "write a decimal point, not a comma"},
	{"a function before a reading, without its brackets", "low «co»", `"co" is not expected here`, "write low(co)"},
	{"a yes/no reading compared with yes", "warm == «yes»", `there is no reading "yes"`, standsForItself},
	{"a yes/no reading compared with no, in capitals", "warm != «NO»", `there is no reading "NO"`, standsForItself},
	{"yes alone", "«yes» or warm", `there is no reading "yes"`, ""},
	{"the wrong way round", "co «=>» 1", `"=>" is not expected here`, "write >="},
	{"the wrong way round, less", "co «=<» 1", `"=<" is not expected here`, "write <="},
	{"in two pieces", "co < «=» 1", `"=" is not expected here`, "write <= and >= in one piece"},
	{"the mathematical sign", "co «≥» 1", `"≥" is not expected here`, "write >="},
	{"the mathematical sign, less", "co «≤» 1", `"≤" is not expected here`, "write <="},
	{"unequal as other languages write it", "look <«>» 1", `">" is not expected here`, `write != for "is not"`},
	{"unequal as mathematics writes it", "look «≠» 1", `"≠" is not expected here`, `write != for "is not"`},
	{"a unit at a limit: percent", "co > 5«%»", `"%" is not expected here`, plain + ": %"},
	{"percent with more to follow", "co > 5 «%» and warm", `"%" is not expected here`, plain + ": %"},
	{"a unit after a space", "current > 10 «mA»", `"mA" is not expected here`, plain + ": mA"},
	{"a unit without a space", "current > «10mA»", `"10mA" is not a number`, plain + ": mA"},
	{"a word after a number that is no unit", "current > 10 «of»", `"of" is not expected here`, plain + ": mA"},
	{"a number with two points", "co > 1.2«.3»", `".3" is not expected here`, ""},
	{"a number that is none", "co > «0xZZ»", `"0xZZ" is not a number`, plain + ": %"},
	{"a whole number beyond 64 bits", "«99999999999999999999» > co", "the number is too large", ""},
	{"a number beyond floating point", "co < «1e999»", "the number is too large", ""},
	{"arithmetic beyond floating point", "co > 1e308 «*» 10", "the number is too large", ""},
	{"quotes that do not close", "look == «\"»white", "the text in quotes is not closed", ""},
	{"single quotes that do not close, after closed ones", `look == "white" or look == «'»oily`, "the text in quotes is not closed", ""},
	{"a quote inside a comment closes nothing", "warm // don't\n and look == «\"»white", "the text in quotes is not closed", ""},
	{"back quotes that do not close", "look == «`»white", "the text in quotes is not closed", ""},
	{"a comment that does not close", "co > 1 «/*» or less", "the comment is not closed", ""},
	{"an escape that is none", `look == "wh\«q»ite"`, "the text in quotes has an escape that means nothing", `write \\ for a backslash`},
	{"an escape that is none, of two bytes", `look == "wh\«ö»ite"`, "the text in quotes has an escape that means nothing", `write \\ for a backslash`},
	{"a backslash at the very end", `look == "wh\«»`, "the text in quotes has an escape that means nothing", `write \\ for a backslash`},
	{"an empty text after a number", "co > 0«''»", `"''" is not expected here`, ""},
	{"a text after a reading", `look «"white"»`, `"white" is not expected here`, ""},
	{"a character that means nothing", "co > 1 «@»", `"@" is not expected here`, ""},
	{"a NUL", "co > 1«\x00»", `"\x00" is not expected here`, ""},
	{"no UTF-8", "«\xff»\xfe", `"\xff" is not expected here`, ""},
	{"a fraction sign is no digit", "co > «½»", `"½" is not expected here`, ""},

	{"an unknown reading", "«bogus»", `there is no reading "bogus"`, ""},
	{"a slip", "«sped» > 1", `there is no reading "sped"`, `did you mean "speed"?`},
	{"a capital", "«Warm»", `there is no reading "Warm"`, `did you mean "warm"?`},
	{"a word without its quotes", "look == «sooty»", `there is no reading "sooty"`, `write the words of a choice in quotes: look == "sooty"`},
	{"letters of two bytes before and in the name", `look == "süß" and «größe» > 1`, `there is no reading "größe"`, ""},
	{"on the second line", "warm and\n  «bogus» > 1", `there is no reading "bogus"`, ""},
	{"after a line that ends in CR LF", "warm and\r\n  «bogus» > 1", `there is no reading "bogus"`, ""},
	{"an unknown function", "«len»(look) > 1", `there is no function "len"`, ""},
	{"a slip in a function", "«hihg»(co)", `there is no function "hihg"`, `did you mean "high"?`},
	{"a function without its brackets", "co > «ok»", `"ok" is a function`, "write ok(…)"},
	{"a reading with brackets", "«co»(3) > 1", `"co" is a reading, not a function`, ""},

	{"and of other languages", "co > 1 «&&» warm", `write "and" for "&&"`, ""},
	{"or of other languages", "co > 1 «||» warm", `write "or" for "||"`, ""},
	{"not of other languages", "«!»warm", `write "not" for "!"`, ""},
	{"one ampersand", "warm «&» closed", `"&" is not expected here`, `write "and"`},
	{"a chain of comparisons", "1 < co «<» 3", "comparisons do not chain", "write between(x, a, b)"},
	{"a chain, with a test beside it", "1 < co «<=» 3 and warm", "comparisons do not chain", "write between(x, a, b)"},
	{"a truth value", "warm == «true»", "true does not stand in an expression", yesNames},
	{"the other one", "«false» or warm", "false does not stand in an expression", yesNames},
	{"a choice between expressions", "co > 1 «?» warm : closed", `the operator "?" is not part of the language of rules`, grammarHint},
	{"a question mark in quotes is none", `look == "?" «?» warm : closed`, `the operator "?" is not part of the language of rules`, grammarHint},
	{"a default", "co «??» 1", `the operator "??" is not part of the language of rules`, grammarHint},
	{"a power", "co «**» 2 > 1", `the operator "**" is not part of the language of rules`, grammarHint},
	{"a remainder", "co «%» 2 > 1", `the operator "%" is not part of the language of rules`, grammarHint},
	{"a range", "co«..»3", `the operator ".." is not part of the language of rules`, grammarHint},
	{"a list", `look «in» ["white"]`, `the operator "in" is not part of the language of rules`, grammarHint},
	{"a pattern", `look «matches» "x"`, `the operator "matches" is not part of the language of rules`, grammarHint},
	{"a pipe", "co «|» abs() > 1", notPart, "write the argument in parentheses: abs(…)"},
	{"a bar", "«|» warm", `"|" is not expected here`, `write "or"`},
	{"a method", "signal.«len»() > 1", "only functions can be called", grammarHint},
	{"an escape that is one, before a slip", `look == "wh\"ite" and «bogus»`, `there is no reading "bogus"`, ""},
	{"a scope", "«::»abs(co) > 1", notPart, grammarHint},
	{"a member", "signal.«Every» > 1", notPart, grammarHint},
	{"an index", "co«[»0] > 1", notPart, grammarHint},
	{"a list alone", "«[»1, 2]", notPart, grammarHint},
	{"a variable", "let «a» = 1; a > co", notPart, grammarHint},
	{"two expressions", "«warm»; closed", notPart, grammarHint},
	{"nil", "co == «nil»", notPart, grammarHint},
	{"bytes", `«b»"x" == look`, notPart, grammarHint},
	{"a loop", "«any»([co], # > 1)", notPart, grammarHint},
	{"a loop without its body", "map(co«)»", notPart, grammarHint},

	{"a number alone, literal", "«1»", "this is a number, not true or false", "compare it with a limit"},
	{"arithmetic alone", "co «+» 1", "this is a number, not true or false", "compare it with a limit"},
	{"a number alone, reading", "«co»", `"co" is a number, not true or false`, "compare it with a limit, or ask ok(co), high(co), low(co)"},
	{"a choice alone", "«look»", `"look" is a choice, not true or false`, `compare it with one of its words: look == "…"`},
	{"a trace alone", "«signal»", `"signal" is a trace, not true or false`, "derive a reading from it with toggles() or switch_rate()"},
	{"a word alone", `«"white"»`, `"white" is a word, not true or false`, "compare a choice with it"},
	{"a function of numbers alone", "«abs»(co)", "abs() gives a number, not true or false", "compare it with a limit"},
	{"not before a comparison", "«not» co > 1", "not does not take a number", tight},
	{"not of a number", "«not» co and warm", "not does not take a number", "compare the number with a limit"},
	{"a number as a condition", "warm «and» co", "and does not join a yes/no and a number", "compare the number with a limit"},
	{"a word as a condition", `warm «and» "x"`, "and does not join a yes/no and a word", ""},
	{"a sign before a yes/no", "«-»warm", "- does not take a yes/no", ""},
	{"a yes/no with a limit", "warm «>» 1", "> does not join a yes/no and a number", ""},
	{"a sum with a yes/no", "co «+» warm > 1", "+ does not join a number and a yes/no", ""},
	{"a trace with a limit", "signal «>» 1", "> does not join a trace and a number", ""},
	{"a test with a limit", "high(co) «>» 1", "> does not join a yes/no and a number", ""},
	{"a choice in an order", `«look» > "sooty"`, `"look" is a choice, not a number`, ""},
	{"two words in an order", `«"a"» < "b"`, `"a" is a word, not a number`, ""},
	{"a number is never equal", "co «==» 1", "== compares a choice with a word", noEquals},
	{"nor unequal", "co «!=» 1", "!= compares a choice with a word", noEquals},
	{"two yes/no", "warm «==» closed", "== compares a choice with a word", noEquals},
	{"two choices", "look «==» look", "== compares a choice with a word", noEquals},
	{"a choice with a number", "look «==» 3", "== does not join a word and a number", ""},
	{"a word that the choice has not", `look == «"black"»`, `look is never "black"`, "it is one of white, sooty, oily"},
	{"a slip in a word", `«"whit"» != look`, `look is never "whit"`, `did you mean "white"?`},

	{"a test of arithmetic", "high(co «+» 1)", "high() is asked of a reading by name", byName},
	{"a test of a literal", "known(«3»)", "known() is asked of a reading by name", byName},
	{"a test of a trace", "high(«signal»)", "high() takes a number here, not a trace", ""},
	{"a test of a yes/no", "ok(«warm»)", "ok() takes a number here, not a yes/no", ""},
	{"no argument", "«high»()", "not enough arguments for high()", ""},
	{"an argument too many", "«high»(co, o2)", "too many arguments for high()", ""},
	{"an argument missing", "«between»(co, 1)", "not enough arguments for between()", ""},
	{"least of one", "«min»(co) > 1", "not enough arguments for min()", ""},
	{"a size of a word", `abs(«"x"») > 1`, "abs() takes a number here, not a word", ""},
	{"large limits the wrong way round", "between(co, «3000000», 1000000)", "nothing lies between 3000000 and 1000000", "write the lower limit first"},
	{"limits the wrong way round", "between(co, «3», 1)", "nothing lies between 3 and 1", "write the lower limit first"},

	{"two units compared", "co «>» current", "this joins % with mA", oneUnit},
	{"two units added", "co «+» current > 1", "this joins % with mA", oneUnit},
	{"two units, the least of them", "«min»(co, current) > 1", "this joins % with mA", oneUnit},
	{"a unit and none", "ratio «>» co", "this joins a plain number with %", "make a derived reading in no unit of what is in %, and name that"},
	{"a range in another unit", "«between»(co, current, 3)", "this joins % with mA", oneUnit},
	{"a division by nothing", "co «/» 0 > 1", "this divides by zero", ""},
	{"a division by what comes to nothing", "co «/» (2 - 2) > 1", "this divides by zero", ""},
	{"no reading in it", "1 «<» 2", "this comparison has no reading in it", "compare a reading with a limit"},
	{"no reading in a range", "«between»(3, 1, 2)", "this comparison has no reading in it", "compare a reading with limits"},

	{"more comparisons than are joined", strings.Repeat("x > 1 and ", 8) + strings.Repeat("y > 1 and ", 8) + "x > 2 «and» y > 2",
		"this makes 17 comparisons, with those of derived readings; at most 16 can be joined", split},
	{"five quantities of five readings in a chain", "x > y and y > z and z > w and w > v «and» v > x",
		"this makes 5 comparisons that share readings; they cannot all be joined exactly", split},
	{"a comparison that falls into too many", "max(" + strings.Repeat("x, ", 8) + "x) «>» min(" + strings.Repeat("y, ", 8) + "y)",
		"this comparison falls into more than 64", "compare fewer numbers at once"},
}

// ruleOnly are taken in derived readings.
var ruleOnly = []refusal{
	{"a named function", "«lambda»(co, co2, o2, hc) > 1", "lambda() stands only in derived readings", byName},
	{"inside a test", "known(«lambda»(co, co2, o2, hc))", "lambda() stands only in derived readings", byName},
	{"the reference", "«reference»(co) > 1", "reference() stands only in derived readings", byName},
	{"the least of a trace", "«trace_min»(signal) > 1", "trace_min() stands only in derived readings", byName},
	{"the greatest of a trace", "«trace_max»(signal) > 1", "trace_max() stands only in derived readings", byName},
	{"the mean of a trace", "«trace_mean»(signal) > 1", "trace_mean() stands only in derived readings", byName},
	{"the rate of a trace", "«switch_rate»(signal) > 1", "switch_rate() stands only in derived readings", byName},
	{"whether a trace toggles", "«toggles»(signal)", "toggles() stands only in derived readings", byName},
}

// numberRefusals are refused where a number is derived.
var numberRefusals = []refusal{
	{"a comparison", "co «>» 1", "this is true or false, not a number", ""},
	{"not", "«not» warm", "this is true or false, not a number", ""},
	{"a yes/no", "«warm»", `"warm" is a yes/no, not a number`, ""},
	{"a choice", "«look»", `"look" is a choice, not a number`, ""},
	{"a trace", "«signal»", `"signal" is a trace, not a number`, ""},
	{"a word", `«"white"»`, `"white" is a word, not a number`, ""},
	{"two words joined", `«"a"» + "b"`, `"a" is a word, not a number`, ""},
	{"a test", "«high»(co)", "high() is true or false, not a number", ""},
	{"a trace function", "«toggles»(signal)", "toggles() is true or false, not a number", ""},
	{"volts of a trace in mV, for the rate", "switch_rate(«pulse»)", "switch_rate() takes a trace in V, not in mV", ""},
	{"a trace of a number", "trace_min(«co»)", "trace_min() takes a trace here, not a number", ""},
	{"a trace by arithmetic", "trace_min(signal «+» 1)", "+ does not join a trace and a number", ""},
	{"HC in percent", "lambda(co, co2, o2, «o2»)", "lambda() takes ppm here, not %", "make a derived reading in ppm of what is in % (from: … * 10000), and name that"},
	{"a truth value among gases", "lambda(co, co2, o2, «warm»)", "lambda() takes a number here, not a yes/no", ""},
	{"CO2 in ppm", "lambda(co, «hc», o2, hc)", "lambda() takes % here, not ppm", "make a derived reading in % of what is in ppm (from: … * 0.0001), and name that"},
	{"a sum of two units", "co2 «-» hc", "this joins % with ppm", "make a derived reading in % of what is in ppm (from: … * 0.0001), and name that"},
	{"a factor that cannot bring it there", "lambda(co * 2, co2, o2, co «*» 10000)", "lambda() takes ppm here, not %", "make a derived reading in ppm of what is in % (from: … * 10000), and name that"},
	{"reference of arithmetic", "reference(co «*» 2)", "reference() is asked of a reading by name", byName},
}

func TestRefusals(t *testing.T) {
	tryRefusals(t, refusals, YesNo, InRule)
	tryRefusals(t, refusals, YesNo, InDerived)
	tryRefusals(t, ruleOnly, YesNo, InRule)
	tryRefusals(t, numberRefusals, Number, InDerived)
	long := strings.Repeat("warm and ", 500) + "warm"
	tryRefusals(t, []refusal{
		{"too long", long[:MaxSource] + "«»" + long[MaxSource:], "the expression is longer than 4096 bytes", "write several rules, or a derived reading"},
		{"too long, cut between letters", "x" + strings.Repeat("ü", 2047) + "«»ü", "the expression is longer than 4096 bytes", "write several rules, or a derived reading"},
	}, YesNo, InRule)
}

func tryRefusals(t *testing.T, rows []refusal, want Kind, use Use) {
	t.Helper()
	s := NewScope(bench)
	seen := map[string]bool{}
	for _, r := range rows {
		if r.reason == "" || seen[r.reason] {
			t.Fatalf("%s: every row needs a reason of its own", r.src)
		}
		seen[r.reason] = true
		before, rest, _ := strings.Cut(r.src, "«")
		at, after, marked := strings.Cut(rest, "»")
		if !marked {
			t.Fatalf("%s: the place of the error is not marked", r.reason)
		}
		e, err := s.Compile(before+at+after, want, use)
		if err == nil {
			t.Errorf("%s: %s is taken", r.reason, r.src)
			continue
		}
		var got *Error
		if e != nil || !errors.As(err, &got) {
			t.Fatalf("%s: got %v and %v", r.reason, e, err)
		}
		if *got != (Error{len(before), len(at), r.text, r.hint}) {
			t.Errorf("%s: %s\n got %d+%d %q %q\nwant %d+%d %q %q", r.reason, r.src, got.Offset, got.Width, got.Text, got.Hint, len(before), len(at), r.text, r.hint)
		}
	}
}

// TestEveryFunctionIsKept: the functions for derived readings are refused in
// rules, each by a row of its own, and the others are not.
func TestEveryFunctionIsKept(t *testing.T) {
	for _, f := range Functions() {
		row := false
		for _, r := range ruleOnly {
			row = row || strings.HasPrefix(r.text, f.Name+"()")
		}
		if row != f.DerivedOnly {
			t.Errorf("%s: derived readings only is %t, and a row says %t", f.Name, f.DerivedOnly, row)
		}
		if f.Doc == "" || !Reserved(f.Name) {
			t.Errorf("%s: no doc, or not reserved", f.Name)
		}
	}
	for _, k := range keywords {
		if _, err := NewScope([]Reading{{ID: k, Kind: YesNo}}).Compile(k, YesNo, InRule); err == nil && k != "if" && k != "else" {
			t.Errorf("%q is reserved, and yet an expression can name it", k)
		}
	}
	if Reserved("co") {
		t.Error("an ordinary name is reserved")
	}
}

func TestErrorText(t *testing.T) {
	e := &Error{Offset: 3, Width: 2, Text: "wrong", Hint: "mend it"}
	if got := e.Error(); got != "at 3: wrong (mend it)" {
		t.Error(got)
	}
	e.Hint = ""
	if got := e.Error(); got != "at 3: wrong" {
		t.Error(got)
	}
}
