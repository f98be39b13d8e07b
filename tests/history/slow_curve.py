"""A second, slow and obvious curve of run hours: one machine, reading after reading.

For logs whose readings are all right: it sets nothing aside.
"""

RECENT = 56


def curve_by_hand(readings):
    """Run hours at each (day, hours, marked) of one machine, in the order given."""
    run = [0.0]
    for number in range(1, len(readings)):
        (day, hours, _), (next_day, next_hours, marked) = readings[number - 1 : number + 1]
        if marked:
            rate = rate_by_hand(readings, number - 1)
            run.append(run[-1] + (next_day - day) * (rate or 0.0))
        elif next_hours < hours:
            top = 10_000 if hours < 10_000 else 100_000
            run.append(run[-1] + next_hours + top - hours)
        else:
            run.append(run[-1] + next_hours - hours)
    return run


def rate_by_hand(readings, at):
    """Hours a day over the last 56 measured days before a reading, else over the first after."""
    hours, days = 0.0, 0
    for number in range(at, 0, -1):
        step = measured(readings, number)
        if step and days < RECENT:
            hours, days = hours + step[0], days + step[1]
    if days:
        return hours / days
    return rate_ahead(readings, at)


def rate_ahead(readings, at):
    hours, days = 0.0, 0
    for number in range(at + 1, len(readings)):
        step = measured(readings, number)
        if step and (days == 0 or days + step[1] <= RECENT):
            hours, days = hours + step[0], days + step[1]
        elif step:
            break
    return hours / days if days else None


def measured(readings, number):
    """Hours and days of the step into a reading; None at a new meter."""
    (day, hours, _), (next_day, next_hours, marked) = readings[number - 1 : number + 1]
    if marked:
        return None
    top = 0 if next_hours >= hours else 10_000 if hours < 10_000 else 100_000
    return next_hours + top - hours, next_day - day
