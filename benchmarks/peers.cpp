// Two compiled peers of benchmarks/peers.py, each from one of our stretches' beginning to its first event or its time:
// numbalsoda's LSODA (with -DWITH_LSODA and its source), and Dormand and Prince's pair of Boost.odeint (with -DWITH_ODEINT).
// Rates and event values come as addresses of compiled functions: nothing of Python runs between two calls.

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <vector>

typedef void (*Function)(double t, double *y, double *out, void *flight);

static const int EVENTS = 8, TIME = -1, FAILED = -3, MOST_STEPS = 400000;
typedef std::array<double, EVENTS> Values;

// Which event comes first between two moments, and when, by Illinois regula falsi on the dense output; TIME for none.
// The state of that moment is left in y.
template <class Dense>
static int first_event(Function events, void *flight, const Values &before, const Values &after, double start,
                       double end, double *y, double &t, Dense state_at) {
    int first = TIME;
    t = end;
    for (int i = 0; i < EVENTS; ++i) {
        if (!(before[i] > 0.0 && after[i] <= 0.0)) continue;
        double low = start, high = end, f_low = before[i], f_high = after[i];
        int side = 0;
        for (int turn = 0; turn < 80 && high - low > 1e-15 * (end - start); ++turn) {
            double middle = low - f_low * (high - low) / (f_high - f_low);
            if (!(low < middle && middle < high)) middle = 0.5 * (low + high);
            Values there;
            state_at(middle, y);
            events(middle, y, there.data(), flight);
            if (there[i] > 0.0) {
                low = middle, f_low = there[i];
                if (side == 1) f_high *= 0.5;
                side = 1;
            } else {
                high = middle, f_high = there[i];
                if (side == -1) f_low *= 0.5;
                side = -1;
                if (there[i] == 0.0) break;
            }
        }
        if (first == TIME || high < t) first = i, t = high;
    }
    if (first != TIME) state_at(t, y);
    return first;
}

#ifdef WITH_LSODA
#define private public  // its tolerances, one for each number of the state, have no other door
#include "LSODA.h"
#undef private

static std::unique_ptr<LSODA> solvers[32];

// Fresh: begin anew; otherwise go on from the last event, which changed nothing.
extern "C" int lsoda_advance(Function rates, Function events, void *flight, int n, double *time, double stop, double *y,
                             double relative, const double *absolute, int fresh) {
    if (!solvers[n]) solvers[n].reset(new LSODA());
    LSODA &solver = *solvers[n];
    static int state = 1;
    static std::vector<double> z;
    static Values before;
    std::array<int, 7> whole = {{0}};
    std::array<double, 4> real = {{0.0}};
    if (fresh) {
        state = 1;
        z.assign(n + 1, 0.0);
        std::copy(y, y + n, z.begin() + 1);
        solver.mxstep = 500;
        solver.rtol_.assign(n + 1, relative);
        solver.atol_.assign(absolute - 1, absolute + n);
        events(*time, y, before.data(), flight);
    }
    auto state_at = [&](double t, double *out) {
        static std::vector<double> point;
        int flag = 0;
        point.resize(n + 1);
        solver.intdy(t, 0, point, &flag);
        std::copy(point.begin() + 1, point.end(), out);
    };
    double t = fresh ? *time : solver.tn_;
    Values after = before;
    if (!fresh) {  // what is left of the step that the last event came in
        double end = std::min(t, stop);
        std::vector<double> point(n);
        state_at(end, point.data());
        events(end, point.data(), after.data(), flight);
        events(*time, y, before.data(), flight);
        int met = first_event(events, flight, before, after, *time, end, y, *time, state_at);
        if (met != TIME) return met;
        if (t >= stop) {
            state_at(stop, y);
            *time = stop;
            return TIME;
        }
        before = after;
    }
    for (int step = 0; step < MOST_STEPS; ++step) {
        double from = t;
        solver.lsoda(rates, n, z, &t, stop, 2, &state, 0, 2, whole, real, flight);
        if (state <= 0) return FAILED;
        double end = std::min(t, stop);
        if (end < t) state_at(end, y); else std::copy(z.begin() + 1, z.end(), y);
        events(end, y, after.data(), flight);
        int met = first_event(events, flight, before, after, from, end, y, *time, state_at);
        if (met != TIME || t >= stop) return met;
        before = after;
    }
    return FAILED;
}
#endif

#ifdef WITH_ODEINT
#include <boost/numeric/odeint.hpp>
namespace odeint = boost::numeric::odeint;

// Largest error over what is allowed, as our engine has it: relative × (scale + size), a scale for each number.
template <std::size_t N> struct Allowed {
    double relative;
    const double *absolute;
    template <class Algebra, class State, class Deriv, class Error, class Time>
    double error(Algebra &, const State &x, const Deriv &, Error &error, Time) const {
        double worst = 0.0;
        for (std::size_t i = 0; i < N; ++i)
            worst = std::max(worst, std::abs(error[i]) / (absolute[i] + relative * std::abs(x[i])));
        return worst;
    }
};

template <std::size_t N>
static int odeint_stretch(Function rates, Function events, void *flight, double *time, double stop, double *y,
                          double relative, const double *absolute, double h) {
    typedef std::array<double, N> State;
    typedef odeint::runge_kutta_dopri5<State> Pair;
    typedef odeint::default_step_adjuster<double, double> Adjuster;
    odeint::controlled_runge_kutta<Pair, Allowed<N>, Adjuster> stepper((Allowed<N>{relative, absolute}));
    auto system = [&](const State &x, State &slope, double t) {
        rates(t, const_cast<double *>(x.data()), slope.data(), flight);
    };
    State x, slope, next, next_slope;
    Values before, after;
    std::copy(y, y + N, x.begin());
    double t = *time;
    system(x, slope, t);
    events(t, x.data(), before.data(), flight);
    for (int step = 0; step < MOST_STEPS; ++step) {
        if (t >= stop) {
            std::copy(x.begin(), x.end(), y);
            *time = t;
            return TIME;
        }
        bool last = h >= stop - t;
        if (last) h = stop - t;
        if (h < 1e-14 * std::max(t, 1e-3) && !last) return FAILED;
        double start = t;
        if (stepper.try_step(system, x, slope, t, next, next_slope, h) == odeint::fail) continue;
        if (last) t = stop;
        events(t, next.data(), after.data(), flight);
        int met = first_event(events, flight, before, after, start, t, y, *time, [&](double at, double *out) {
            State point;
            stepper.stepper().calc_state(at, point, x, slope, start, next, next_slope, t);
            std::copy(point.begin(), point.end(), out);
        });
        if (met != TIME) return met;
        x = next, slope = next_slope, before = after;
    }
    return FAILED;
}

extern "C" int odeint_advance(Function rates, Function events, void *flight, int n, double *time, double stop, double *y,
                              double relative, const double *absolute, double first) {
    switch (n) {
    case 7: return odeint_stretch<7>(rates, events, flight, time, stop, y, relative, absolute, first);
    case 14: return odeint_stretch<14>(rates, events, flight, time, stop, y, relative, absolute, first);
    case 16: return odeint_stretch<16>(rates, events, flight, time, stop, y, relative, absolute, first);
    case 17: return odeint_stretch<17>(rates, events, flight, time, stop, y, relative, absolute, first);
    case 18: return odeint_stretch<18>(rates, events, flight, time, stop, y, relative, absolute, first);
    }
    return FAILED;
}
#endif
