"""Independent answers to compare plans with: exhaustive search, and a constraint solver's assignment model."""

from functools import cache

from ortools.sat.python import cp_model


def exhaustive(items, products):
    """Return the least (cost, units, −outputs) over every partition of the items into units.

    Items are (outputs, watts, products that may hold it); products are (cost, outputs, most watts).
    """

    def unit(group):
        outputs = sum(items[i][0] for i in group)
        watts = sum(items[i][1] for i in group)
        offers = [
            (cost, 1, -size)
            for number, (cost, size, most) in enumerate(products)
            if outputs <= size and watts <= most and all(number in items[i][2] for i in group)
        ]
        return min(offers, default=None)

    @cache
    def best(left):
        if not left:
            return (0, 0, 0)
        first, rest = left[0], left[1:]
        found = None
        for mask in range(1 << len(rest)):
            group = (first, *(rest[i] for i in range(len(rest)) if mask >> i & 1))
            own = unit(group)
            if own is None:
                continue
            others = best(tuple(i for i in rest if i not in group))
            if others is not None:
                total = tuple(a + b for a, b in zip(own, others, strict=True))
                found = total if found is None else min(found, total)
        return found

    return best(tuple(range(len(items))))


def assigned(*, circuits, products, capacity=None, most_units=None):
    """Return (unserved, cost, units, −outputs) of the best assignment of parts to single units.

    A circuit is (code, watts of one piece, pieces, outputs a part takes, {product: (least, most)}): split into
    the fewest parts that some product takes; a product is (cost, outputs, most watts, width). Watts are whole.
    """
    model = cp_model.CpModel()
    parts = []
    served = {}
    for code, watts, pieces, channels, limits in circuits:
        counts = {
            n: [
                p
                for p, (least, most) in limits.items()
                if least * channels <= n * watts <= most * channels
                and n * watts <= products[p][2]
                and channels <= products[p][1]
            ]
            for n in range(1, pieces + 1)
        }
        counts = {n: where for n, where in counts.items() if where}
        number = _fewest(pieces, list(counts))
        if number is None:
            served[code] = 0
            continue
        served[code] = model.new_bool_var(f"served {code}") if capacity is not None else 1
        chosen = [{n: model.new_bool_var(f"{code} {j} {n}") for n in counts} for j in range(number)]
        for options in chosen:
            model.add(sum(options.values()) == served[code])
        model.add(
            sum(n * b for options in chosen for n, b in options.items()) == pieces * served[code]
        )
        parts += [(code, watts, channels, counts, options) for options in chosen]
    units = range(max(1, min(len(parts), most_units or len(parts))))
    product = [[model.new_bool_var(f"u{u} p{p}") for p in range(len(products))] for u in units]
    outputs = [[] for _ in units]
    loads = [[] for _ in units]
    for code, watts, channels, counts, options in parts:
        seats = {(n, u): model.new_bool_var(f"{code} {n} {u}") for n in counts for u in units}
        for n, option in options.items():
            model.add(sum(seats[n, u] for u in units) == option)
            for u in units:
                model.add(sum(product[u][p] for p in counts[n]) >= seats[n, u])
                outputs[u].append(channels * seats[n, u])
                loads[u].append(n * watts * seats[n, u])
    for u in units:
        model.add(sum(product[u]) <= 1)
        model.add(
            sum(outputs[u]) <= sum(products[p][1] * product[u][p] for p in range(len(products)))
        )
        model.add(
            sum(loads[u]) <= sum(products[p][2] * product[u][p] for p in range(len(products)))
        )
        if u:
            model.add(
                sum((p + 1) * product[u][p] for p in range(len(products)))
                <= sum((p + 1) * product[u - 1][p] for p in range(len(products)))
            )
    every = [(p, product[u][p]) for u in units for p in range(len(products))]
    if capacity is not None:
        model.add(sum(products[p][3] * b for p, b in every) <= capacity)
    unserved = sum(1 - one for one in served.values())
    cost = sum(products[p][0] * b for p, b in every)
    number = sum(b for _, b in every)
    size = sum(products[p][1] * b for p, b in every)
    model.minimize(unserved * 10**11 + cost * 10**5 + number * 10**3 - size)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = 20
    status = solver.solve(model)
    assert status == cp_model.OPTIMAL, solver.status_name(status)
    return tuple(solver.value(value) for value in (unserved, cost, number, -size))


def _fewest(pieces, counts):
    """Return the fewest of these counts that add up to the pieces, or None."""
    least = [0] + [None] * pieces
    for total in range(1, pieces + 1):
        before = [least[total - n] for n in counts if n <= total and least[total - n] is not None]
        least[total] = min(before) + 1 if before else None
    return least[pieces]
