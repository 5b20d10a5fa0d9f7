package contract

import (
	"os"
	"reflect"
	"testing"
)

// What reading a request costs: parse, check, and the struct with its defaults.
func BenchmarkRead(b *testing.B) {
	for _, operation := range []string{
		"postSalinityConversion", "postHeaterSizing", "postLightScheduleScore", "postPlanAudit",
	} {
		b.Run(operation, func(b *testing.B) {
			o := load(b).Operation(operation)
			data, err := os.ReadFile("../../testdata/api/" + operation + "/example.request.json")
			if err != nil {
				b.Fatal(err)
			}
			target := reflect.New(shape(o.Request)).Interface()
			b.Run("all", func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					r, err := o.Read(data, "")
					if err != nil {
						b.Fatal(err)
					}
					if err := r.Into(target); err != nil {
						b.Fatal(err)
					}
				}
			})
			b.Run("parse", func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := parseJSON(data, o.Body); err != nil {
						b.Fatal(err)
					}
				}
			})
			r, err := o.Read(data, "")
			if err != nil {
				b.Fatal(err)
			}
			b.Run("check", func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					o.Body.check(r.tree, Violation{})
				}
			})
			b.Run("into", func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := r.Into(target); err != nil {
						b.Fatal(err)
					}
				}
			})
			b.Run("assumed", func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					r.Assumed()
				}
			})
		})
	}
	b.Run("getEvaporation", func(b *testing.B) {
		o := load(b).Operation("getEvaporation")
		target := reflect.New(shape(o.Request)).Interface()
		b.ReportAllocs()
		for b.Loop() {
			r, err := o.Read(nil, "length_mm=900&width_mm=500&room_c=21")
			if err != nil {
				b.Fatal(err)
			}
			if err := r.Into(target); err != nil {
				b.Fatal(err)
			}
		}
	})
}
