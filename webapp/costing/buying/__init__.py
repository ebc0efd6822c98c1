"""What is bought of each material, from whom, how it comes, and what came off the rack.

Knows no hours.

Decided, and its price:

- What is agreed is bought from today's offers on the agreed cut plans, and the difference told as the shop's: the
  yard's list fits the cut papers. Price: a cheaper way of buying is not looked for where the plan still fits.
- Offcuts are offers of the shop to itself, at a share of the price new, as many as stand there: one search weighs
  them against new stock. Price: what stands on the rack is part of the question: moving one asks anew.
- A plan takes nothing off the rack; somebody does, once the job is cut: two open jobs may plan with the same offcut,
  and whoever cuts first has it. Price: the other job's plan is made anew, and may cost more.
- Where a job buys is decided for all it counts at once, with stops and carriage; cut plans fix theirs first: a knob
  ten cents cheaper is not worth a drive, three of them may be. Price: a material's purchase depends on the others of
  the job.
- The shop's usable share stays the long-run mean of simulated boards: ripping loss isn't counted twice. Price: the
  clear share behind it is found by a short simulation of its own.
"""
