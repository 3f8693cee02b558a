-- Opens the file that neovim was given, types in it and writes what its own
-- client for language servers shows, a line each, to $RESULTS.
local results = assert(io.open(os.getenv('RESULTS'), 'w'))
local function note(...) results:write(string.format(...), '\n') end
local words = { 'error', 'warn', 'info', 'hint' }

local function main()
  local code
  local client = assert(vim.lsp.start_client({
    name = 'plumbrule',
    cmd = { os.getenv('SERVER'), 'lsp' },
    root_dir = vim.fn.expand('%:p:h'),
    on_exit = function(c) code = c end,
  }))
  assert(vim.lsp.buf_attach_client(0, client))

  -- the line that begins with a text, from 0
  local function line(beginning)
    for i, l in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
      if vim.startswith(l, beginning) then return i - 1 end
    end
    error('no line begins with ' .. beginning)
  end
  local function replace(old, now)
    for i, l in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
      local from, to = l:find(old, 1, true)
      if from then
        vim.api.nvim_buf_set_text(0, i - 1, from - 1, i - 1, to, { now })
        return
      end
    end
    error('nothing to replace: ' .. old)
  end
  -- what is shown, once it is as wanted
  local function shown(wanted)
    local list
    local came = vim.wait(120000, function()
      list = vim.diagnostic.get(0)
      return wanted(list)
    end, 20)
    assert(came, 'what is shown is not as it must be: ' .. vim.inspect(list))
    return list
  end
  local function text(list)
    local out = {}
    for _, d in ipairs(list) do
      table.insert(out, d.lnum .. ':' .. d.col .. ' ' .. d.severity .. ' ' .. d.message)
    end
    table.sort(out)
    return table.concat(out, '\n')
  end
  local function of(list, name)
    return vim.tbl_filter(function(d) return d.code == name or (d.user_data and d.user_data.lsp and d.user_data.lsp.code == name) end, list)
  end

  local first = shown(function(list) return #list >= 12 end)
  local feet = of(first, 'layout/fastener-on-rib-crest')[1]
  assert(feet, 'no finding of the feet')
  note('opened: %s layout/fastener-on-rib-crest at %s', words[feet.severity], vim.api.nvim_buf_get_lines(0, feet.lnum, feet.lnum + 1, false)[1])
  for _, d in ipairs(of(first, 'missing')) do
    if d.message:find('adoption.ibc', 1, true) then
      note('opened: %s missing at %s', words[d.severity], vim.api.nvim_buf_get_lines(0, d.lnum, d.lnum + 1, false)[1])
    end
  end

  replace('"-14 degF"', '"−14 °F')
  local broken = shown(function(list) return #list == 1 end)
  note('broken: %d, %s', #broken, broken[1].message)
  assert(broken[1].lnum == line('record_low '), 'the fault is shown at another line')
  replace('"−14 °F', '"-14 degF"')
  shown(function(list) return text(list) == text(first) end)
  note('mended: the same as when it was opened')

  assert(#of(first, 'electrical/string-fuse') == 1, 'the string without a fuse is not shown')
  local second = line('name     = "S2"')
  vim.api.nvim_buf_set_lines(0, second + 1, second + 1, false, { 'fuse     = "F1"' })
  shown(function(list) return #list >= 12 and #of(list, 'electrical/string-fuse') == 0 end)
  note('changed: no electrical/string-fuse')

  vim.api.nvim_win_set_cursor(0, { line('wind_speed ') + 1, 2 })
  local answers = assert(vim.lsp.buf_request_sync(0, 'textDocument/hover', vim.lsp.util.make_position_params(), 60000))
  local hover = answers[client].result
  note('hover: %s', table.concat(vim.lsp.util.convert_input_to_markdown_lines(hover.contents), ' '))

  vim.lsp.stop_client(client)
  assert(vim.wait(30000, function() return code ~= nil end, 20), 'the server does not end')
  note('ended: %d', code)
end

local fine, why = xpcall(main, debug.traceback)
results:close()
if not fine then
  io.stderr:write(why, '\n')
  vim.cmd('cquit 1')
end
vim.cmd('qall!')
