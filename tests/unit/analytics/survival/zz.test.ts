import { test } from 'vitest';
import { turnbull } from '../../../../analytics/survival/turnbull.ts';
import { innermostIntervals } from '../../../../analytics/survival/innermost-intervals.ts';
import { acceleratedEm, emStep, normalised, largestSlope } from '../../../../analytics/survival/turnbull-em.ts';
import { newtonMasses } from '../../../../analytics/survival/turnbull-newton.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
for (const [n,grid] of [[100000,1]] as const)
test('speed '+n+' '+grid,()=>{
 const r=seededRandom(1);
 const entry=new Float64Array(n),lower=new Float64Array(n),upper=new Float64Array(n),weight=new Float64Array(n).fill(1);
 const g=(x:number)=>Math.round(x/grid)*grid;
 for(let i=0;i<n;i++){ 
  const t=365*Math.exp(2.3+0.4*Math.log(-Math.log(1-r.uniform())));
  const e=g(r.uniform()<0.3? r.uniform()*700:0); if(t<=e){i--;continue}
  entry[i]=e; let look=e; let last=e; const end=r.uniform()*15*365+e;
  for(;;){ look=g(last+300+Math.max(grid,r.uniform()*200)); if(look>end){lower[i]=last;upper[i]=Infinity;break} if(t<=look){lower[i]=last;upper[i]=look;break} last=look;}
  if(i===-1) break;
 }
 let t0=performance.now(); const p=innermostIntervals({entry,lower,upper,weight}); const M=p.from.length;
 console.log('support',M,performance.now()-t0);
 t0=performance.now();
 let m=acceleratedEm(p,new Float64Array(M).fill(1/M),{tolerance:1e-6,maxSteps:300});
 console.log('em',performance.now()-t0, largestSlope(emStep(p,m).slope), emStep(p,m).logLikelihood);
 const peaks=[...m.keys()].filter(j=>m[j]>1e-9&&m[j]>=(m[j-1]??0)&&m[j]>(m[j+1]??0)); console.log('peaks',peaks.length);
 const out=new Float64Array(M); let k=0;
 for(let j=0;j<M;j++){ while(k<peaks.length-1 && Math.abs(peaks[k+1]-j)<=Math.abs(peaks[k]-j)) k++; out[peaks[k]]+=m[j]; }
 console.log('ll peaks',emStep(p,out).logLikelihood);
 t0=performance.now(); const f=newtonMasses(p,out,1e-9); const s=emStep(p,f);
 console.log('newton',performance.now()-t0,s.logLikelihood,largestSlope(s.slope),f.filter(x=>x>0).length);
});
