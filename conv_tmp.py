import time
from assistant.car.files import read_case
from assistant.belief.garage import Garage
from assistant.belief.driven import drive_cars
c=read_case("demo")
best=[9]*3
for _ in range(3):
    t=time.process_time(); g=Garage(c); a=time.process_time()-t
    t=time.process_time(); g.drive(); d=time.process_time()-t
    b=g.batches[0]; r=g._run(b,{})
    t=time.process_time(); drive_cars(b.cars,g.course,{},r); e=time.process_time()-t
    best=[min(x,y) for x,y in zip(best,(a,d,e))]
print("cpu: draw and anchor %.2f, drive with slopes %.2f, one lever %.3f"%tuple(best))
