-- Read by wrk: what is asked, and what came of it as one line of JSON.
-- BODIES names a file with one body a line; after the last it begins anew.
local bodies, number = {}, 0

function init(_)
  wrk.method = os.getenv("METHOD") or "GET"
  wrk.headers["Content-Type"] = "application/json"
  if os.getenv("TOKEN") then wrk.headers["Authorization"] = "Bearer " .. os.getenv("TOKEN") end
  if os.getenv("BODIES") then
    for line in io.lines(os.getenv("BODIES")) do bodies[#bodies + 1] = line end
  end
end

function request()
  if #bodies == 0 then return wrk.format() end
  number = number + 1
  return wrk.format(nil, nil, nil, bodies[(number - 1) % #bodies + 1])
end

function done(summary, latency, _)
  local seconds = summary.duration / 1e6
  io.write(string.format(
    'RESULT {"requests": %d, "a second": %.1f, "p50 ms": %.2f, "p95 ms": %.2f, "refused": %d}\n',
    summary.requests, summary.requests / seconds, latency:percentile(50) / 1000,
    latency:percentile(95) / 1000,
    summary.errors.status + summary.errors.timeout + summary.errors.connect + summary.errors.read))
end
