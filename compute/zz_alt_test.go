package compute
import ("testing";"math";"math/rand/v2";"fmt";"slices")
func flagged(y []float64, ok bool) (bool, float64) { d,p:=driftOf(y); return ok&&math.Abs(d.X)>2&&p.X<.05, d.X }
func alt(ps []*Pass) (a,b,c,d []bool) {
	var raw,lev [][]float64
	for _,p:=range ps { raw=append(raw,p.Profile[:]); m:=medianOf(slices.Clone(p.Profile[:])); l:=make([]float64,10); for i:=range l { l[i]=0 ; l[i]=p.Profile[i]/m }; _=m; lev=append(lev,l) }
	// level by the ln ratio: divide by the median of ratio to all-median
	all:=medianSeries(raw,nobody)
	for k:=range lev { r:=make([]float64,10); for i:=range r { r[i]=raw[k][i]/all[i] }; m:=medianOf(slices.Clone(r)); for i:=range r { lev[k][i]=raw[k][i]/m } }
	big:=0.0; var ds []float64
	for k:=range ps {
		fa,da:=flagged(logRatio(raw[k],medianSeries(raw,k)))
		fb,db:=flagged(logRatio(raw[k],all))
		fc1,dc1:=flagged(logRatio(lev[k],medianSeries(lev,k)))
		fc2,dc2:=flagged(logRatio(lev[k],medianSeries(lev,nobody)))
		a=append(a,fa); b=append(b,fa&&fb&&da*db>0); c=append(c,fc1&&fc2&&dc1*dc2>0); ds=append(ds,da); d=append(d,fa)
		if math.Abs(da)>math.Abs(big) {big=da}
	}
	for k:=range d { if ds[k]*big<0 {d[k]=false} }
	return
}
func TestAlt(t *testing.T) {
	for _,length:=range []int{30,60} { for _,noise:=range []float64{0.005,0.01} { for _,n:=range []int{3,4,5} {
		rng:=rand.New(rand.NewPCG(3,2))
		var f [4]int; const cells=500
		for range cells { sc:=simScene(rng); ps:=[]*Pass{}; for range n { ps=append(ps,simRun(rng,sc,length,noise,0,nil)) }
			a,b,c,d:=alt(ps); for k:=range ps { for i,v:=range []bool{a[k],b[k],c[k],d[k]} { if v {f[i]++} } } }
		fmt.Printf("L=%d noise %.3f n=%d false%%:",length,noise,n); for _,v:=range f { fmt.Printf(" %.2f",100*float64(v)/float64(n*cells)) }
		for _,dr:=range []float64{.97,.95,.92} {
			var pw,sib [4]int; const m=300
			for range m { sc:=simScene(rng); ps:=[]*Pass{simRun(rng,sc,length,noise,0,func(u float64) float64 {return math.Pow(dr,u)})}
				for range n-1 { ps=append(ps,simRun(rng,sc,length,noise,0,nil)) }
				a,b,c,d:=alt(ps); for i,v:=range [][]bool{a,b,c,d} { if v[0] {pw[i]++}; for _,w:=range v[1:] { if w {sib[i]++} } } }
			fmt.Printf(" | %.2f power", dr); for i:=range pw { fmt.Printf(" %d",pw[i]*100/m) }; fmt.Print(" sib%"); for i:=range sib { fmt.Printf(" %.1f",float64(sib[i])*100/float64(m*(n-1))) }
		}
		fmt.Println()
	}}}
}
