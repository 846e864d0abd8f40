//! The finished files of a job, the same for a folder and for the page's zip.

use crate::workers::{Task, in_order};
use caddis_design::{Blocked, Interior, Release, Verification, plan_tests, predictions};
use caddis_documents::{
    Document, DocumentError, DrawingSheets, ExchangeInput, PaperInput, Pictures, Solids, TestPlanInput,
    Words, bill_values, bill_workbook, changes, check_print, contents_list, deck, drawing_files,
    drawing_sheets, drawings, fall_scene, first_article, interior_3mf, interior_step, interior_stl, labels,
    packing_list, quotation, report, test_plan_document,
};
use caddis_files::{
    ContentsSection, FileError, FilePlace, InteriorSection, Job, Language, Manifest, ReleaseSection,
    ResultFile, ResultHead, ShopSection, SurveySection, VerificationSection, test_results_template,
    write_offcuts,
};
use caddis_shop::{ChangeOrder, PriceBreak, ShopSet, cut_files, offcuts, price_breaks};
use std::collections::BTreeMap;
use std::sync::{Mutex, OnceLock, PoisonError};

/// What is left of the sheets, in the form of a library's offcuts.
const OFFCUTS: &str = "offcuts.toml";

/// A path inside the set, with what lies there.
pub type SetFile = (String, Vec<u8>);

/// A job made as far as its parts, and what its papers carry.
#[derive(Debug, Clone, Copy)]
pub struct JobSet<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its interior.
    pub interior: &'a Interior,
    /// What was verified.
    pub verification: &'a Verification,
    /// The release, or why there is none.
    pub release: &'a Result<Release, Blocked>,
    /// The language of papers.
    pub words: &'static Words,
    /// Date on papers.
    pub date: &'a str,
    /// Revision on papers.
    pub revision: &'a str,
}

/// What the customer signs, packs by and ships with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CustomerPaper {
    /// Price by quantity.
    Quotation,
    /// For the inside of the lid.
    PackingList,
    /// For customs.
    ContentsList,
    /// For the outside.
    Labels,
    /// For whoever cuts, measures and approves.
    Drawings,
    /// For the customer's bench, before anything is cut.
    CheckPrint,
    /// For the first piece.
    FirstArticle,
    /// To show.
    Deck,
    /// The bill as a workbook.
    BillWorkbook,
    /// The bill as comma-separated values.
    BillValues,
    /// The interior as exact solids, for their CAD.
    InteriorStep,
    /// The interior as coloured meshes.
    InteriorThreeMf,
    /// The interior as bare triangles.
    InteriorStl,
}

/// The words of a language. A catalogue of the library is read once and kept as long as the program runs.
///
/// # Errors
/// A catalogue that does not say what the English one says, with its file and line.
pub fn words_of(language: &Language) -> Result<&'static Words, FileError> {
    static READ: Mutex<BTreeMap<(String, String), &'static Words>> = Mutex::new(BTreeMap::new());
    let Some(text) = &language.text else {
        return Ok(Words::english());
    };
    let mut read = READ.lock().unwrap_or_else(PoisonError::into_inner);
    let key = (language.tag.clone(), text.clone());
    if let Some(words) = read.get(&key) {
        return Ok(words);
    }
    let words = Words::read(&language.tag, text).map_err(|error| FileError::Content {
        place: Box::new(FilePlace {
            file: language.file.clone(),
            line: error.line,
            field: String::new(),
        }),
        problem: error.problem,
        hint: Some(error.hint),
    })?;
    let words: &'static Words = Box::leak(Box::new(words));
    read.insert(key, words);
    Ok(words)
}

impl CustomerPaper {
    /// All of them, in the order they are written.
    pub const ALL: [Self; 13] = [
        Self::Quotation,
        Self::PackingList,
        Self::ContentsList,
        Self::Labels,
        Self::Drawings,
        Self::CheckPrint,
        Self::FirstArticle,
        Self::Deck,
        Self::BillWorkbook,
        Self::BillValues,
        Self::InteriorStep,
        Self::InteriorThreeMf,
        Self::InteriorStl,
    ];

    /// The name of its file.
    pub fn file_name(self) -> &'static str {
        match self {
            Self::Quotation => "quotation.pdf",
            Self::PackingList => "packing-list.pdf",
            Self::ContentsList => "contents-list.pdf",
            Self::Labels => "labels.pdf",
            Self::Drawings => "drawings.pdf",
            Self::CheckPrint => "check-print.pdf",
            Self::FirstArticle => "first-article.pdf",
            Self::Deck => "deck.pdf",
            Self::BillWorkbook => "bill.xlsx",
            Self::BillValues => "bill.csv",
            Self::InteriorStep => "interior.step",
            Self::InteriorThreeMf => "interior.3mf",
            Self::InteriorStl => "interior.stl",
        }
    }
}

impl CustomerPaper {
    /// Whether it prints what larger quantities cost.
    fn shows_prices(self) -> bool {
        matches!(self, Self::Quotation | Self::Deck | Self::BillWorkbook)
    }
}

impl JobSet<'_> {
    /// What the shop cuts from, and what it keeps of the sheets; nothing without a release.
    ///
    /// # Errors
    /// Stock that cannot be written.
    pub fn cut(&self, set: &ShopSet) -> Result<Vec<SetFile>, String> {
        let Ok(release) = self.release else {
            return Ok(Vec::new());
        };
        let (shop, job) = (&self.job.shop, &self.job.brief.job);
        let mut files: Vec<SetFile> = cut_files(set, shop, job, self.revision, release)
            .files
            .into_iter()
            .map(|file| (file.path, file.bytes))
            .collect();
        let kept = offcuts(&set.nests, shop, job);
        if !kept.is_empty() {
            let text = write_offcuts(&kept, &self.job.shop_entry)?;
            files.push((OFFCUTS.to_owned(), text.into_bytes()));
        }
        Ok(files)
    }

    /// The engineering report alone.
    ///
    /// # Errors
    /// What the typesetter refuses.
    pub fn report(&self, set: &ShopSet) -> Result<SetFile, DocumentError> {
        let pictures = Pictures::of(&self.job.brief, self.interior, threads())?.with_photos(&self.job.photos);
        let document = report(&self.paper_input(set, &pictures))?;
        Ok((document.name, document.bytes))
    }

    /// What a revision changes against what was delivered.
    ///
    /// # Errors
    /// What the typesetter refuses.
    pub fn changes(&self, set: &ShopSet, order: &ChangeOrder) -> Result<SetFile, DocumentError> {
        let pictures = Pictures::of(&self.job.brief, self.interior, threads())?.with_photos(&self.job.photos);
        let document = changes(&self.paper_input(set, &pictures), order)?;
        Ok((document.name, document.bytes))
    }

    fn paper_input<'a>(&'a self, set: &'a ShopSet, pictures: &'a Pictures) -> PaperInput<'a> {
        PaperInput {
            brief: &self.job.brief,
            interior: self.interior,
            verification: self.verification,
            release: self.release.as_ref().ok(),
            shop: &self.job.shop,
            set,
            pictures,
            words: self.words,
            date: self.date,
            revision: self.revision,
            version: env!("CARGO_PKG_VERSION"),
        }
    }

    /// One of the customer's papers alone.
    ///
    /// # Errors
    /// What the typesetter or the nesting of larger quantities refuses.
    pub fn paper(&self, paper: CustomerPaper, set: &ShopSet) -> Result<SetFile, DocumentError> {
        let pictures = Pictures::of(&self.job.brief, self.interior, threads())?.with_photos(&self.job.photos);
        let input = self.paper_input(set, &pictures);
        let document = Self::printed(paper, &Shared::of(&input, self, threads()))?;
        Ok((document.name, document.bytes))
    }

    fn printed(paper: CustomerPaper, shared: &Shared) -> Result<Document, DocumentError> {
        let input = shared.input;
        match paper {
            CustomerPaper::Quotation => quotation(input, shared.breaks()?),
            CustomerPaper::PackingList => packing_list(input),
            CustomerPaper::ContentsList => contents_list(input),
            CustomerPaper::Labels => labels(input),
            CustomerPaper::Drawings => drawings(input, shared.sheets()),
            CustomerPaper::CheckPrint => check_print(input),
            CustomerPaper::FirstArticle => first_article(input),
            CustomerPaper::Deck => deck(input, shared.breaks()?),
            CustomerPaper::BillWorkbook => bill_workbook(input, shared.breaks()?),
            CustomerPaper::BillValues => Ok(bill_values(input)),
            CustomerPaper::InteriorStep => interior_step(shared.solids()?),
            CustomerPaper::InteriorThreeMf => interior_3mf(shared.solids()?),
            CustomerPaper::InteriorStl => Ok(interior_stl(shared.solids()?)),
        }
    }

    fn breaks(&self, set: &ShopSet) -> Result<Vec<PriceBreak>, DocumentError> {
        let shop = &self.job.shop;
        price_breaks(set, shop, self.interior.seed, &shop.quoting.quantities)
            .map_err(|error| DocumentError::Mismatch(error.to_string()))
    }

    /// What people read and look at: report, test plan with the file to fill in, scenes. A mass that no drop table reaches
    /// leaves no test plan; the journey's own findings say which table ends where.
    ///
    /// # Errors
    /// What the typesetter refuses.
    pub fn papers(&self, set: &ShopSet) -> Result<Vec<SetFile>, DocumentError> {
        let brief = &self.job.brief;
        let threads = threads();
        let pictures = Pictures::of(brief, self.interior, threads)?.with_photos(&self.job.photos);
        let input = self.paper_input(set, &pictures);
        let shared = Shared::of(&input, self, threads);
        let plan = plan_tests(brief, self.verification).ok();
        let calculated = predictions(brief, self.verification);
        // What three files share is made first, on all threads; the prices, on which some papers wait, begin before the papers.
        shared.solids()?;
        let mut tasks: Vec<(usize, Task<'_, Made>)> = Vec::new();
        {
            let shared = &shared;
            tasks.push((0, Box::new(move || shared.breaks().map(|_| Vec::new()))));
            tasks.push((1, Box::new(|| one(report(&input)))));
            for (index, paper) in CustomerPaper::ALL.into_iter().enumerate() {
                tasks.push((2 + index, Box::new(move || one(Self::printed(paper, shared)))));
            }
            tasks.push((100, Box::new(|| Ok(drawing_files(&input, shared.sheets())))));
        }
        if let Some(plan) = &plan {
            let plan_paper = || {
                one(test_plan_document(&TestPlanInput {
                    brief,
                    verification: self.verification,
                    plan,
                    predictions: &calculated,
                    words: self.words,
                    is_released: self.release.is_ok(),
                    date: self.date,
                    revision: self.revision,
                    version: env!("CARGO_PKG_VERSION"),
                }))
            };
            tasks.push((101, Box::new(plan_paper)));
        }
        tasks.push((102, Box::new(|| Ok(vec![pictures.scene(brief)]))));
        tasks.push((
            103,
            Box::new(|| Ok(fall_scene(brief, self.verification).into_iter().collect())),
        ));
        // What waits for the prices comes last, so that no thread is left waiting.
        let waits = |rank: usize| {
            let paper = rank
                .checked_sub(2)
                .and_then(|index| CustomerPaper::ALL.get(index));
            paper.is_some_and(|paper| paper.shows_prices())
        };
        tasks.sort_by_key(|(rank, _)| (waits(*rank), *rank));
        let (ranks, tasks): (Vec<usize>, Vec<Task<'_, Made>>) = tasks.into_iter().unzip();
        let mut made: Vec<(usize, Made)> = ranks.into_iter().zip(in_order(tasks)).collect();
        made.sort_by_key(|(rank, _)| *rank);
        let mut files = Vec::new();
        let mut scenes = Vec::new();
        for (rank, documents) in made {
            let list = if rank < 102 { &mut files } else { &mut scenes };
            list.extend(
                documents?
                    .into_iter()
                    .map(|document| (document.name, document.bytes)),
            );
        }
        files.extend(shared.solids()?.incomplete().map(|told| (told.name, told.bytes)));
        if plan.is_some() {
            let template = test_results_template(&brief.job, &calculated);
            files.push(("test-results.toml".to_owned(), template.into_bytes()));
        }
        files.extend(scenes);
        Ok(files)
    }

    /// The result as data; `survey` is what the shell's survey says, which takes its time and may be known already.
    pub fn result(&self, survey: SurveySection, set: Option<&ShopSet>) -> ResultFile {
        let brief = &self.job.brief;
        let mut result = ResultFile::new(ResultHead {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            date: self.date.to_owned(),
            job: brief.job.clone(),
            title: brief.title.clone(),
            customer: brief.customer.clone(),
        });
        result.survey = Some(survey);
        result.contents = Some(ContentsSection::of(brief, &self.job.meshes));
        result.interior = Some(InteriorSection::of(self.interior, brief));
        result.verification = Some(VerificationSection::of(self.verification));
        result.release = Some(ReleaseSection::of(self.release));
        result.shop = set.map(|set| ShopSection::of(set, &self.job.shop));
        result
    }

    /// The manifest of these files: what they were made from, with which seed and how many steps.
    ///
    /// # Errors
    /// A number that JSON cannot hold.
    pub fn manifest(&self, files: &[SetFile]) -> Result<SetFile, String> {
        let mut manifest = Manifest::new(
            env!("CARGO_PKG_VERSION"),
            &self.job.brief.job,
            self.interior.seed,
            self.interior.steps,
        );
        manifest.inputs.clone_from(&self.job.inputs);
        for (path, bytes) in files {
            manifest.add(path.as_str(), bytes);
        }
        Ok(("manifest.json".to_owned(), manifest.to_json()?.into_bytes()))
    }
}

type Made = Result<Vec<Document>, DocumentError>;

fn one(document: Result<Document, DocumentError>) -> Made {
    document.map(|document| vec![document])
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// What several papers need, made when it is first asked for and kept.
struct Shared<'a> {
    input: &'a PaperInput<'a>,
    set: &'a JobSet<'a>,
    threads: usize,
    breaks: OnceLock<Result<Vec<PriceBreak>, DocumentError>>,
    sheets: OnceLock<DrawingSheets>,
    solids: OnceLock<Result<Solids, DocumentError>>,
}

impl<'a> Shared<'a> {
    fn of(input: &'a PaperInput<'a>, set: &'a JobSet<'a>, threads: usize) -> Self {
        Self {
            input,
            set,
            threads,
            breaks: OnceLock::new(),
            sheets: OnceLock::new(),
            solids: OnceLock::new(),
        }
    }

    fn breaks(&self) -> Result<&[PriceBreak], DocumentError> {
        let breaks = self.breaks.get_or_init(|| self.set.breaks(self.input.set));
        breaks.as_deref().map_err(Clone::clone)
    }

    fn sheets(&self) -> &DrawingSheets {
        self.sheets.get_or_init(|| drawing_sheets(self.input))
    }

    fn solids(&self) -> Result<&Solids, DocumentError> {
        let solids = self.solids.get_or_init(|| {
            let input = ExchangeInput {
                brief: self.input.brief,
                interior: self.input.interior,
                is_released: self.input.release.is_some(),
                date: self.input.date,
                version: self.input.version,
            };
            Solids::of(&input, self.threads)
        });
        solids.as_ref().map_err(Clone::clone)
    }
}
