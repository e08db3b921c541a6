import { Argument, Command, CommanderError, InvalidArgumentError, Option } from 'commander';
import { textCheck } from '../checks.ts';
import { ConfigError } from '../config.ts';
import { APP_VERSION } from '../routes/version.ts';
import { type Filter, FilterSchema } from '../schemas/filter.ts';
import { FAMILIES, RECORD_KINDS } from '../schemas/words.ts';
import { closuresCommand } from './closures-command.ts';
import { EXIT, type ExitCode } from './command-context.ts';
import { evidenceCommand } from './evidence-command.ts';
import { EXPORTS, exportCommand } from './export-command.ts';
import { fitCommand } from './fit-command.ts';
import { budgetCommand, forecastCommand } from './forecast-command.ts';
import { loadCommand } from './load-command.ts';
import { modelsCommand } from './models-command.ts';
import { programCommand } from './program-command.ts';
import { serveCommand } from './serve-command.ts';

/** Runs one command line. @returns the exit code: 0 done, 1 data refused, 2 usage */
export async function runCommandLine(args: readonly string[]): Promise<ExitCode> {
  let code: ExitCode = EXIT.done;
  const program = buildProgram((result) => {
    code = result;
  });
  try {
    await program.parseAsync(args, { from: 'user' });
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.done : EXIT.usage;
    console.error(error instanceof Error ? error.message : String(error));
    return error instanceof ConfigError ? EXIT.usage : EXIT.refused;
  }
}

function buildProgram(end: (code: ExitCode) => void): Command {
  const program = new Command('kerfcast')
    .description('Sealed joints in concrete pavement: records in, forecast, map and budget out')
    .version(APP_VERSION)
    .exitOverride()
    .showHelpAfterError()
    .addHelpText('after', '\nExit codes: 0 done, 1 data refused, 2 wrong usage');
  const command = (name: string, description: string) =>
    program.command(name).description(description).exitOverride().showHelpAfterError();
  const data = (c: Command) => c.option('--data <folder>', 'folder of the records (or KERFCAST_DATA)');
  const json = () => new Option('--json', 'print JSON');
  const family = () => new Option('--family <name>', 'life distribution').choices(FAMILIES);

  data(command('serve', 'Serve the screens and the API on this computer'))
    .option('--port <number>', 'port, 0 for any free one (or KERFCAST_PORT; default 8080)')
    .option('--host <address>', 'loopback address to listen on (or KERFCAST_HOST; default 127.0.0.1)')
    .option('--demo', 'load the invented demo agency when nothing is stored yet')
    .option('--empty', 'start without the demo agency')
    .action(async (options) => end(await serveCommand(options)));

  data(command('load', "Load an agency's files: all accepted rows in one transaction"))
    .argument('<file...>', 'GeoJSON or GeoJSON text sequence of segments; CSV of the other records')
    .addOption(new Option('--kind <kind>', 'what the rows are, for files that do not show it').choices(RECORD_KINDS))
    .option('--unit <field=unit...>', 'unit of a field, e.g. widthMm=in, maxC=F', keepPairs, {})
    .option('--swap', 'latitude stands before longitude in these files')
    .option('--dry-run', 'say what would be accepted and refused; write nothing')
    .option('--refused <folder>', 'write refused rows here as CSV with a reason')
    .addOption(json())
    .addHelpText('after', '\nExit code 1 when any row was refused; the accepted rows are loaded all the same.')
    .action(async (files, options) => end(await loadCommand(files, options)));

  command('fit', 'Fit a life distribution to any CSV')
    .argument('<file>', 'CSV with a header')
    .requiredOption('--lower <column>', 'last age known sound; empty: none')
    .requiredOption('--upper <column>', 'first age known failed; empty: still sound; equal to lower: exact')
    .option('--entry <column>', 'age at which it came under observation')
    .option('--weight <column>', 'how many units the row stands for')
    .option('--covariates <a,b>', 'columns, comma-separated')
    .addOption(family().default('weibull'))
    .addOption(
      new Option('--prior <which>', 'none: plain maximum likelihood').choices(['none', 'default']).default('none'),
    )
    .addOption(json())
    .action(async (file, options) => end(await fitCommand(file, options)));

  data(command('forecast', 'Fit the service-life model and forecast every segment'))
    .addOption(family())
    .addOption(json())
    .action(async (options) => end(await forecastCommand(options)));

  data(command('budget', 'Print what falls due each year'))
    .addOption(json())
    .action(async (options) => end(await budgetCommand(options)));

  data(command('evidence', 'Test the model against what inspections found, and say how far to trust it'))
    .addOption(json())
    .action(async (options) => end(await evidenceCommand(options)));

  data(command('models', 'List the models that were fitted, or forecast again with one of them'))
    .option('--adopt <version>', 'make forecast and budget again with this version', wholeNumber)
    .addOption(json())
    .action(async (options) => end(await modelsCommand(options)));

  data(command('closures', 'Schedule a closure plan: which facility closes when, for what work'))
    .requiredOption('--plan <which>', 'id of a stored plan, or a file that ends in .json with its name and rules')
    .addOption(json())
    .option('--out <file>', 'write the schedule: .ics calendar, .csv table or .pdf work packets')
    .action(async (options) => end(await closuresCommand(options)));

  data(command('program', 'Solve a scenario: what to reseal when, under its budgets'))
    .requiredOption('--scenario <file>', 'JSON as sent to POST /api/scenarios; inputs left out are the defaults')
    .addOption(json())
    .option(
      '--out <file...>',
      'write to files by their endings: .xlsx, .pdf, .geojson, -table.csv, .csv (list of work)',
    )
    .addOption(new Option('--units <units>', 'of the files').choices(['si', 'us']).default('si'))
    .option('--no-keep', 'leave no trace of it among the scenarios')
    .addHelpText(
      'after',
      '\nThe scenario is kept under its name, in place of an earlier one of that name. Exit code 1 when no program keeps every limit.',
    )
    .action(async (options) => end(await programCommand(options)));

  data(command('export', 'Write joints, budget or life curves to a file'))
    .addArgument(new Argument('<what>', 'what to write').choices(EXPORTS))
    .addOption(new Option('--format <format>', 'of segments').choices(['csv', 'geojson']).default('csv'))
    .addOption(new Option('--units <units>', 'of CSV columns').choices(['si', 'us']).default('si'))
    .option('--out <file>', 'file to write; without it, standard output')
    .option('--filter <name=value...>', 'as in the address of the map, e.g. district=North', keepPairs, {})
    .action(async (what, { filter, ...options }) =>
      end(await exportCommand({ ...options, what, filter: asFilter(filter) })),
    );
  return program;
}

function wholeNumber(word: string): number {
  if (!/^[1-9][0-9]{0,8}$/.test(word))
    throw new InvalidArgumentError(`${word} is not a version, a whole number from 1.`);
  return Number(word);
}

/** Collects name=value words into one record. */
function keepPairs(word: string, kept: Record<string, string>): Record<string, string> {
  const [name, ...rest] = word.split('=');
  if (!name || rest.length === 0) throw new InvalidArgumentError(`${word} is not name=value.`);
  return { ...kept, [name]: rest.join('=') };
}

const isFilter = textCheck.compile<Filter>(FilterSchema);

function asFilter(pairs: Record<string, string>): Filter {
  const filter: Record<string, unknown> = { ...pairs };
  if (isFilter(filter)) return filter;
  const [fault] = isFilter.errors ?? [];
  const name = fault?.params.additionalProperty ?? fault?.instancePath.slice(1);
  throw new ConfigError(
    `filter ${name} cannot be used: ${fault?.message}. Known: ${Object.keys(FilterSchema.properties).join(', ')}.`,
  );
}
