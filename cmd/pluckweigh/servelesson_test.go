package main

import (
	"testing"
	"time"

	"pluckweigh/audio/synth"
)

// A string that rings for long is one pluck, and a point by what stood there when it was
// plucked: the next length may be typed while it rings.
func TestServeLessonWhileItRings(t *testing.T) {
	s := demoString
	s.Length, s.UnitWeight, s.Tension, s.Stiffness = 0.65, 0.002, 60, 1e-5
	x, _, err := synth.Take{String: s, Plucks: []synth.Pluck{{At: 0.6, Height: 0.002, Point: 0.17, Width: 0.012}},
		Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.12}, Rate: 48000, Seconds: 5, Damp: 4.4, Level: -9, Noise: []synth.Noise{{Color: synth.Pink, DB: 40}}, Seed: 1}.Render()
	if err != nil {
		t.Fatal(err)
	}
	p := connect(t, serve(t, nil))
	p.say(`{"ask":{"lesson":"length","x":["650mm"]}}`)
	p.say(`{"start":{"from":"browser","rate_hz":48000}}`)
	sent := 2 * 48000
	p.send(0, x[:sent])
	plucked := time.Now()
	var all told
	for ; len(all.plucks) == 0; sent += 4800 {
		p.send(sent, x[sent:sent+4800])
		time.Sleep(30 * time.Millisecond)
		p.take(p.next(), &all)
	}
	if len(all.plucks[0].Points) > 0 {
		t.Errorf("a point while it rings: %+v", all.plucks[0])
	}
	time.Sleep(time.Until(plucked.Add(toldLate + 200*time.Millisecond)))
	p.say(`{"ask":{"lesson":"length","x":["550mm"]}}`)
	p.send(sent, x[sent:])
	p.say(`{"stop":{}}`)
	for p.take(p.next(), &all) {
	}
	if len(all.plucks) != 1 {
		t.Fatalf("%d plucks", len(all.plucks))
	}
	if q := all.plucks[0]; q.Ringing || q.Lesson != "length" || len(q.Points) != 1 || q.Points[0].X[0].V != 0.65 {
		t.Errorf("%s: %+v, %v", q.Lesson, q.Points, q.NoPoint)
	}
}
