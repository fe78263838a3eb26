package web

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pluckweigh/web/classbook"
)

func openClass(t *testing.T, path string) *classbook.Class {
	t.Helper()
	c, err := classbook.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

// classRig serves a class that is kept in a file.
func classRig(t *testing.T, path string) (*rig, *classbook.Class) {
	t.Helper()
	c := openClass(t, path)
	return newRig(t, func(o *Options) {
		o.Class = c
		o.Bench = nil
	}, nil), c
}

func pointOf(mm int) string {
	return fmt.Sprintf(`{"x":[{"value":%g,"u":0.0005}],"y":{"value":%g,"u":0.01},"from":"pluck 1","group":"seat 9"}`, float64(mm)/1000, 65000/float64(mm))
}

// join joins as a new seat, and returns the token.
func (p *page) join(code, name string) (token string) {
	p.t.Helper()
	p.say(fmt.Sprintf(`{"join":{"code":%q,"name":%q}}`, code, name))
	return p.expect("joined").(map[string]any)["token"].(string)
}

// Seats join, add points of their own, and the teacher sees them gather.
func TestClass(t *testing.T) {
	path := filepath.Join(t.TempDir(), "class")
	r, c := classRig(t, path)
	teacher, _ := r.dial(t)
	teacher.expect("class_here")
	teacher.say(`{"ask":{}}`) // which pages say before they know
	teacher.say(fmt.Sprintf(`{"teach":{"key":%q}}`, c.Teacher()))
	if now := teacher.expect("teaching").(map[string]any); now["code"] != c.Code() || now["lesson"] != "length" {
		t.Errorf("%v", now)
	}
	var tokens []string
	for i, code := range []string{c.Code(), strings.ToLower(c.Code()[:3]) + " " + c.Code()[3:]} {
		p, _ := r.dial(t)
		tokens = append(tokens, p.join(code, fmt.Sprintf("<b>pupil %d</b>", i+1)))
		if now := p.expect("class").(map[string]any); now["lesson"] != "length" || now["code"] != nil || now["seats"] != nil {
			t.Errorf("a seat is told %v", now)
		}
		for k, mm := range []int{650, 550, 450, 350, 325} {
			for range 2 { // as if the answer was lost
				p.say(fmt.Sprintf(`{"add":{"lesson":"length","key":"%d","points":[%s]}}`, k, pointOf(mm)))
				p.expect("added")
			}
		}
	}
	var now map[string]any
	for now == nil || len(now["ids"].([]any)) < 10 {
		now = teacher.expect("teaching").(map[string]any)
	}
	o := now["judged"].(map[string]any)
	if o["outcome"].(map[string]any)["verdict"] != "agrees" || len(now["ids"].([]any)) != 10 {
		t.Errorf("%v", now)
	}
	if list := o["list"].(string); strings.Contains(list, "pupil") || !strings.Contains(list, "seat 2") || strings.Contains(list, "seat 9") {
		t.Errorf("the list is\n%s", list)
	}
	teacher.say(`{"aside":{"id":3,"why":"by the teacher"}}`)
	teacher.say(`{"look":{"seat":1}}`)
	for len(now["ids"].([]any)) != 5 {
		now = teacher.expect("teaching").(map[string]any)
	}
	if p := now["judged"].(map[string]any)["outcome"].(map[string]any)["points"].([]any)[2].(map[string]any); p["aside"] != "by the teacher" {
		t.Errorf("point 3 is %v", p)
	}

	// All of it is there after the program was ended, and seats find theirs.
	if err := r.stop(); err != nil {
		t.Fatal(err)
	}
	c.Close()
	r, c = classRig(t, path)
	p, _ := r.dial(t)
	p.say(fmt.Sprintf(`{"join":{"token":%q}}`, tokens[1]))
	if s := p.expect("joined").(map[string]any); s["seat"] != 2.0 || s["token"] != tokens[1] {
		t.Errorf("%v", s)
	}
	if s := c.State(); len(s.Entries) != 10 || s.Entries[2].Point.Aside == "" || len(s.Seats) != 2 {
		t.Errorf("%+v", s)
	}
}

// A stranger may do nothing but join, a seat nothing but add, and nobody anything of the
// machine's.
func TestClassRoles(t *testing.T) {
	r, c := classRig(t, filepath.Join(t.TempDir(), "class"))
	for _, what := range []string{
		`{"start":{"from":"browser","rate_hz":48000}}`, `{"point":{"lesson":"length","x":["650mm"],"y":"100Hz"}}`,
		`{"add":{"lesson":"length","key":"a","points":[` + pointOf(650) + `]}}`, `{"set":{"lesson":"length"}}`, `{"aside":{"id":1}}`, `{"look":{"seat":1}}`,
	} {
		p, _ := r.dial(t)
		p.say(what)
		p.refused("join the class first")
	}
	for _, what := range []string{`{"set":{"lesson":"tension"}}`, `{"aside":{"id":1,"why":"mine is better"}}`, `{"look":{"seat":1}}`} {
		p, _ := r.dial(t)
		p.join(c.Code(), "")
		p.say(what)
		p.refused("not yours")
	}
	p, _ := r.dial(t)
	p.join(c.Code(), "")
	p.say(`{"start":{"from":"machine"}}`)
	if tr := p.expect("trouble").(map[string]any); !strings.Contains(tr["say"].(string), "cannot be used") {
		t.Errorf("%v", tr)
	}
	p.say(`{"join":{"code":"` + c.Code() + `"}}`)
	p.expect("trouble") // it has a seat already
	p.say(`{"add":{"lesson":"tension","key":"a","points":[` + pointOf(650) + `]}}`)
	if a := p.expect("no"); a == nil {
		t.Error("another lesson's points are taken")
	}
	c.Close() // as if the disk were full
	p.say(`{"add":{"lesson":"length","key":"b","points":[` + pointOf(650) + `]}}`)
	if later := p.expect("later"); later != true {
		t.Error("a point that cannot be kept now is not to come again")
	}
	if res, body := r.ask(t, "GET", benchPath, r.addr, nil); res.StatusCode != 200 || !strings.Contains(body, "no stock") {
		t.Errorf("the bench: %s", body)
	}
	if l, _ := c.Lesson(); l != "length" || len(c.State().Entries) != 0 {
		t.Errorf("%+v", c.State())
	}
}

// Codes cannot be tried out.
func TestClassGuessing(t *testing.T) {
	r, c := classRig(t, filepath.Join(t.TempDir(), "class"))
	seated, _ := r.dial(t)
	token := seated.join(c.Code(), "")
	p, _ := r.dial(t)
	p.say(`{"join":{"token":"of another class"}}`)
	p.expect("unseated")
	answered := 1
	for i := range 30 {
		p.say(fmt.Sprintf(`{"join":{"code":"AAAA%02d"}}`, i))
		if tr := p.expect("trouble").(map[string]any); strings.Contains(tr["say"].(string), "not the class's code") {
			answered++
		}
	}
	if answered > guessBurst {
		t.Errorf("%d wrong codes are answered", answered)
	}
	p.say(fmt.Sprintf(`{"join":{"code":%q}}`, c.Code()))
	if tr := p.expect("trouble").(map[string]any); !strings.Contains(tr["say"].(string), "too often") {
		t.Errorf("the right one after that: %v", tr)
	}
	back, _ := r.dial(t) // but who has a seat finds it
	back.say(fmt.Sprintf(`{"join":{"token":%q}}`, token))
	back.expect("joined")
	q, _ := r.dial(t) // a new connection helps nobody
	q.say(`{"teach":{"key":"x"}}`)
	if tr := q.expect("trouble").(map[string]any); !strings.Contains(tr["say"].(string), "too often") {
		t.Errorf("the key: %v", tr)
	}
}

// Tries that are wrong are counted by where they come from, and no others.
func TestClassTriesAreCounted(t *testing.T) {
	var g guessing
	now := time.Now()
	who := from("192.0.2.7:1234")
	for range 200 {
		if !g.may(who, now) { // a whole class joins from one address
			t.Fatal("what is not wrong counts")
		}
	}
	for range guessBurst {
		if !g.may(who, now) {
			t.Fatal("refused too soon")
		}
		g.wrong(who, now)
	}
	if g.may(who, now) || !g.may(from("192.0.2.8:1"), now) || !g.may(who, now.Add(guessEvery+time.Second)) {
		t.Error("the pace is not kept, or by another's tries")
	}
	for range 100 { // answered at once, before any was counted
		g.wrong(who, now)
	}
	if g.may(who, now.Add(50*guessEvery)) {
		t.Error("many at once are cheaper")
	}
	if from("[2001:db8::1]:1") != from("[2001:db8::ffff]:2") || from("[2001:db8::1]:1") == from("[2001:db8:1::1]:1") || from("[fe80::1%eth0]:1") != from("[fe80::2]:1") || from("[::ffff:192.0.2.7]:9") != who {
		t.Error("addresses of one machine count apart, or those of two as one")
	}
	// Many addresses do not fill the memory, nor push out one that is waiting.
	for i := range 3 * mostGuesser {
		if a := from(fmt.Sprintf("10.%d.%d.%d:1", i>>16, i>>8&255, i&255)); g.may(a, now) {
			g.wrong(a, now)
		}
	}
	if len(g.by) > mostGuesser || g.may(who, now) {
		t.Errorf("%d are remembered", len(g.by))
	}
}
