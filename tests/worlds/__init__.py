"""Invented worlds and readers that several tests share; a line says what each holds and who uses it.

bench_day: a day at the Bench through a pseudo-terminal, with all that goes wrong in one; shop/bench
casting_manifold: an exhaust manifold with seven cores and planted causes; metrology/causes, metrology/faces
casting_simulator: simulated jobs explained and scored; metrology/causes, benchmarks
casting_simulator_jobs: jobs drawn at random and their castings, face by face; casting_simulator
casting_simulator_plants: which causes may be planted in a simulated job; casting_simulator
cut_desk: a sampling whose cuts are taken over; shop/first_article
cut_off: acts on a record killed with -9 at a chosen step, and what stands then; record
cuts_by_hand: causes named by hand with round figures; metrology/causes
demo_record: the demo's record of any seed and any plants, made once a run; demo, shop/trends
ends: sizes of castings between ends, written down shortly; metrology/causes, metrology/faces
fourteen_cores: a header with fourteen cores in a row, with planted faults; shop/first_article
hostile: texts that break carelessly made papers, and a first article full of them; report, published
job_files: whole job files, the example and random ones; shop/jobs, commands
kept: what is slow to make, made once a run for all workers; conftest, demo, shop/first_article, shop/trends
kit_jobs: kits of cores that sit in each other, with their boxes and readings; shop/kit, shop/jobs, commands, tui/kit
kit_random: random kits, of any facts at all or right but for what is planted; shop/kit
kit_samples: a kit of any number of cores with pictures, for its papers; report/kit
many_hands: sizes of tools and castings that six people read with five calipers; shop, record, report, commands, tui
measured: series of readings on the small shop of conftest; shop/feature, shop/jobs, shop/gauges, record, commands, tui
numbered: a bracket whose sizes have places, or none, and a photograph with numbers; report
paper_readers: readers of HTML, PDF and CSV that know nothing of how they are made; report
production_simulator: two years of a box that wears and a foundry that changes; metrology/wear
report_samples: a first article of any number of features and castings; report, published
said_apart: a shop of two benches that said of everything something else; tui
sample_faces: a sample casting before there is a drawing, its faces named; shop/measuring, report, commands, tui
sampled_shop: the invented shop up to a day, for any seed and faults; shop/first_article, shop/intake, commands, tui
signed_shop: a bracket with an order, geometrical tolerances and castings; shop/first_article, report, commands, tui
slips_bench: people who read honestly and now and then slip; metrology/typed
stock_shop: a bracket on three datum targets with heights of its machined top; shop/first_article
tables: workbooks in bytes, written by other libraries or by hand; shop/common, commands
trend_rows: a kept summary of a trend, written out once; record, shop/trends
trials: trials in the mould, written down as the form and the command do; a mould off the pattern
walkers: people who walk down a list without looking, slip, and pass sizes over; shop/bench
worn_box: a record in which a box wears as it is told to; shop/trends, report/trends, report/term, commands, tui/trends
writer_probe: a program that logs as fast as it can until it is killed; record
"""
