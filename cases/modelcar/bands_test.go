package modelcar

import "testing"

// In 95 of 100 sound cars a reading lies where common practice has it (no source): the bands that the trade tells
// of a warm car in order.
func TestOutsideBandsOfCommonPractice(t *testing.T) {
	const cars = 200
	rows := []struct {
		reading  string
		from, to float64
	}{
		{"idle_speed", 800, 900}, {"valve_duty", 27, 29}, {"regulator_current", 8, 12}, {"regulator_current_2500", 8, 12},
		{"regulator_swing", 0.5, 6}, {"co", 0.3, 1.2}, {"co2", 13.5, 16}, {"o2", 0, 1}, {"hc", 0, 250},
		{"co_2500", 0.2, 1.2}, {"o2_2500", 0, 1}, {"hc_2500", 0, 200}, {"sensor_switch_rate", 0.4, 2},
		{"sensor_max", 0.75, 1}, {"sensor_min", 0, 0.2}, {"system_pressure", 5.2, 5.6}, {"rest_pressure_10min", 2.5, 5.4},
		{"injector_opening", 3.3, 4.1}, {"regulator_resistance", 18, 22}, {"coolant_sensor_resistance", 0.2, 0.4},
		{"pump_delivery", 850, 1300}, {"compression_min", 9, 13}, {"compression_spread", 0, 3}, {"timing_idle", 8, 12},
		{"injector_spread", 0, 12}, {"balance_spread", 0, 40}, {"sensor_rise_time", 0, 300}, {"sensor_volts_forced_rich", 0.7, 1},
	}
	var ids []string
	for _, row := range rows {
		ids = append(ids, row.reading)
	}
	inside := map[string]int{}
	toggling, difference := 0, 0
	for seed := range uint64(cars) {
		c := sound(t, seed, Options{})
		got, err := c.Readings(ids)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			if v := got[row.reading].Number; v >= row.from && v <= row.to {
				inside[row.reading]++
			}
		}
		if c.oscillate().toggles {
			toggling++
		}
		if d := c.systemPressure() - c.lowerPressure(); d > 0.3 && d < 0.5 {
			difference++
		}
	}
	for _, row := range rows {
		if inside[row.reading] < 95*cars/100 {
			t.Errorf("%s: %d of %d sound cars are within %v to %v", row.reading, inside[row.reading], cars, row.from, row.to)
		}
	}
	if toggling < 95*cars/100 || difference < 95*cars/100 {
		t.Errorf("%d of %d toggle, %d have 0.4 bar across the slits", toggling, cars, difference)
	}
}
