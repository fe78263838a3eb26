package web

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// A point that is typed comes back as one, and points are judged.
func TestLessonsAreJudged(t *testing.T) {
	r := newRig(t, nil, nil)
	p, _ := r.dial(t)
	var points []string
	for i, mm := range []int{650, 550, 450, 350, 325} {
		p.say(fmt.Sprintf(`{"point":{"lesson":"length","x":["%dmm"],"y":"%.3fHz"}}`, mm, 100*650/float64(mm)*(1+1e-5*float64(i%2))))
		b, _ := json.Marshal(p.expect("point"))
		points = append(points, string(b))
	}
	p.say(`{"judge":{"lesson":"length","points":[` + strings.Join(points, ",") + `],"givens":{"start of the rule":"1kg"}}}`)
	j := p.expect("judged").(map[string]any)
	o := j["outcome"].(map[string]any)
	if o["verdict"] != "agrees" || len(j["values"].([]any)) != 5 || len(j["texts"].([]any)) == 0 || !strings.Contains(j["list"].(string), "650") {
		t.Errorf("%v", j)
	}
	if tr := j["troubles"].(map[string]any); tr["start of the rule"] == nil {
		t.Errorf("a mass for a length: %v", tr)
	}
}

// What is no point, no lesson, or too much, is told and gives none.
func TestLessonsRefuse(t *testing.T) {
	r := newRig(t, nil, nil)
	p, _ := r.dial(t)
	for _, c := range []struct{ say, key, has string }{
		{`{"point":{"lesson":"length","x":["650"],"y":"100Hz"}}`, "point_troubles", "650mm"},
		{`{"point":{"lesson":"length","x":[],"y":"100Hz"}}`, "point_troubles", "not told"},
		{`{"point":{"lesson":"length","x":["650mm"],"y":""}}`, "point_troubles", "y"},
		{`{"point":{"lesson":"lenght","x":["650mm"],"y":"100Hz"}}`, "point_troubles", "did you mean"},
		{`{"judge":{"lesson":"<b>","points":[]}}`, "trouble", "not known"},
		{`{"judge":{"lesson":"length","points":[` + strings.Repeat(`{},`, mostPoints) + `{}]}}`, "trouble", "too much"},
		{`{"judge":{"lesson":"length","points":[{"from":"` + strings.Repeat("x", 300) + `"}]}}`, "trouble", "too much"},
	} {
		p.say(c.say)
		if b, _ := json.Marshal(p.expect(c.key)); !strings.Contains(string(b), c.has) {
			t.Errorf("%.60s: %s", c.say, b)
		}
	}
	// Points that are none do not count, and break nothing.
	p.say(`{"judge":{"lesson":"length","points":[{},{"x":[{"value":1e308,"u":-1}],"y":{"value":-5}},{"x":[{"value":0.5},{"value":0.5},{"value":1}],"y":{"value":100}}]}}`)
	if o := p.expect("judged").(map[string]any)["outcome"].(map[string]any); o["used"] != 0.0 {
		t.Errorf("%v", o)
	}
}
