package main

// typeK is the voltage in mV of a type K thermocouple at a temperature between 0 and 250 °C with its ends at 0 °C: the reference function of
// NIST Monograph 175 (1993), in the arithmetic of this program, which is the same on every processor.
func typeK(celsius float64) float64 {
	c := [...]float64{-0.17600413686e-1, 0.38921204975e-1, 0.18558770032e-4, -0.99457592874e-7, 0.31840945719e-9,
		-0.56072844889e-12, 0.56075059059e-15, -0.32020720003e-18, 0.97151147152e-22, -0.12104721275e-25}
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = float64(sum*celsius) + c[i]
	}
	from := celsius - 126.9686
	return sum + float64(0.1185976*decay(float64(0.1183432e-3*float64(from*from))))
}
