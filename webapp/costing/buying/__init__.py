"""What is bought of each material, from whom, how it comes, and what came off the rack.

Knows no hours.

Decided, and its price:

- What is agreed is bought from today's offers on the agreed cut plans, and the difference told as the shop's: the
  yard's list fits the cut papers. Price: a cheaper way of buying is not looked for where the plan still fits.
- Offcuts are offers of the shop to itself, at a share of the price new, as many as stand there: one search weighs
  them against new stock. Price: what stands on the rack is part of the question: moving one asks anew.
- A plan takes nothing off the rack; somebody does, once the job is cut: two open jobs may plan with the same offcut,
  and whoever cuts first has it. Price: the other job's plan is made anew, and may cost more.
- Where a job buys is decided for all of it at once, with orders, stops and carriage: a knob ten cents cheaper is not
  worth a drive, three of them may be; sheets are cut from other sizes where that saves one. Price: a material's
  purchase depends on the others of the job, and a supplier who brings a charge costs a cut plan more.
- Prices as kept are less the trade discount; it comes off where a list price is typed or read from a file. Price: when
  a supplier changes it, his prices are told anew.
- The shop's usable share stays the long-run mean of simulated boards: ripping loss isn't counted twice. Price: the
  clear share behind it is found by a short simulation of its own.
"""
