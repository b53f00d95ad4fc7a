package compute
import ("testing";"math";"math/rand/v2";"fmt")
func simScene(rng *rand.Rand) func(float64) float64 {
	a,b,c:=0.1+0.2*rng.Float64(), 5+20*rng.Float64(), 6.28*rng.Float64()
	d,e:=0.1*rng.Float64(), 2+3*rng.Float64()
	return func(t float64) float64 { return math.Exp(a*math.Sin(6.283*t/b+c)+d*math.Sin(6.283*t/e)) }
}
func simRun(rng *rand.Rand, scene func(float64) float64, length int, noise, rho float64, effect func(float64) float64) *Pass {
	level:=80*math.Exp(0.005*rng.NormFloat64())
	logs:=make([]float64,length+2)
	for i:=range logs { logs[i]=noise*rng.NormFloat64(); if i>0 { logs[i]=rho*logs[i-1]+math.Sqrt(1-rho*rho)*logs[i]} }
	var x []int64
	t:=0.0
	for t<float64(length)+0.1 {
		r:=level*scene(t)*math.Exp(logs[int(t)])
		if effect!=nil { r*=effect(t/float64(length)*1) }
		f:=1/r*(1+0.03*rng.NormFloat64())
		x=append(x,int64(f*1e9)); t+=f
	}
	lo,hi:=Keep(x,Window{LengthNS:int64(length)*1e9})
	return Figure(x[lo:hi],0,PassOptions{},nil)
}
func TestMeasure(t *testing.T) {
	const cells=1500
	for _,length:=range []int{30,45,60} { for _,noise:=range []float64{0.005,0.0075,0.01} { for _,rho:=range []float64{0,0.5} {
		rng:=rand.New(rand.NewPCG(1,2))
		fd,fs,off:=0,0,0
		for range cells { sc:=simScene(rng); ps:=[]*Pass{}
			for range 3 { ps=append(ps,simRun(rng,sc,length,noise,rho,nil)) }
			for _,c:=range CompareSiblings(ps).Checks { if c.Drifts {fd++}; if len(c.Disturbances)>0 {fs++}; if c.Off!="" {off++} } }
		pow:=map[string]int{}
		const m=400
		for range m { sc:=simScene(rng); 
			a,b:=simRun(rng,sc,length,noise,rho,nil),simRun(rng,sc,length,noise,rho,nil)
			for _,e:=range []struct{n string; f func(u float64) float64}{
				{"drift-3",func(u float64) float64 {return math.Exp(math.Log(.97)*u)}},
				{"drift-4",func(u float64) float64 {return math.Exp(math.Log(.96)*u)}},
				{"drift-5",func(u float64) float64 {return math.Exp(math.Log(.95)*u)}},
				{"dist-3",dist(.97,length)},{"dist-6",dist(.94,length)},{"dist-7",dist(.93,length)},{"dist-8",dist(.92,length)},{"dist-10",dist(.9,length)},
			} {
				p:=simRun(rng,sc,length,noise,rho,e.f)
				cs:=CompareSiblings([]*Pass{a,p,b}).Checks
				c:=cs[1]
				if e.n[:4]=="drif" { if c.Drifts {pow[e.n]++}; if cs[0].Drifts||cs[2].Drifts {pow[e.n+"sib"]++} } else {
				if len(c.Disturbances)>0 {pow[e.n]++}; if len(cs[0].Disturbances)+len(cs[2].Disturbances)>0 {pow[e.n+"sib"]++}; if c.Drifts {pow[e.n+"drift"]++} }
			}
		}
		fmt.Printf("L=%d noise=%.2f%% rho=%.1f false drift %.2f%% dist %.3f%% off %d | ",length,100*noise,rho,100*float64(fd)/(3*cells),100*float64(fs)/(3*cells),off)
		for k,v:=range pow { pow[k]=v*100/m }
		fmt.Println(pow)
	}}}
}
func dist(f float64, length int) func(float64) float64 { return func(u float64) float64 { t:=u*float64(length); if t>12.4&&t<16.4 {return f}; return 1 } }
